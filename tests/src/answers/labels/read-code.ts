/** Reads a QR drawing back with jsQR, a decoder that shares no code with what drew it. */

import { createRequire } from 'node:module';

type Decoder = (data: Uint8ClampedArray, width: number, height: number) => { readonly data: string } | null;
/** The package is CommonJS, and its types say otherwise. */
const jsQR: Decoder = createRequire(import.meta.url)('jsqr').default;

const PIXELS = 4;

/** The text that the code in a drawing says; undefined when it cannot be read. */
export function readCode(svg: string): string | undefined {
  const side = Number(/viewBox="0 0 (\d+) /.exec(svg)?.[1]);
  const width = side * PIXELS;
  const image = new Uint8ClampedArray(width * width * 4).fill(255);
  // `M x y h n v1 H x z`: a bar of n dark modules.
  for (const [, x, y, n] of svg.matchAll(/M(\d+) (\d+)h(\d+)v1H\d+z/g)) {
    for (let row = Number(y) * PIXELS; row < (Number(y) + 1) * PIXELS; row++) {
      const from = row * width + Number(x) * PIXELS;
      for (let i = from; i < from + Number(n) * PIXELS; i++) image.fill(0, i * 4, i * 4 + 3);
    }
  }
  return decode(image, width, width);
}

/** The text of the one code in a picture (red, green, blue, opaqueness). */
export function decode(image: Uint8ClampedArray, width: number, height: number): string | undefined {
  return jsQR(image, width, height)?.data;
}
