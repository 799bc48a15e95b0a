/**
 * A QR code (ISO/IEC 18004) as a drawing.
 *
 * Always holds: the code says the plain text and nothing else, with the quiet
 * zone of four modules that the standard asks for.
 */

import { correction, generate, mode } from 'lean-qr';
import { html, type Markup } from './html.ts';

const QUIET = 4;
/** Letters beyond ASCII as UTF-8, which every reader takes; the standard's own Latin-1 some readers do not. */
const MODES = [mode.numeric, mode.alphaNumeric, mode.ascii, mode.utf8];

/** The code of a text, as wide and high as what holds it. */
export function qrDrawing(text: string): Markup {
  const code = generate(text, { minCorrectionLevel: correction.M, modes: MODES });
  const side = code.size + 2 * QUIET;
  const rows = Array.from({ length: code.size }, (_, y) => rowPath(code, y)).join('');
  return html`<svg class="qr" viewBox="0 0 ${side} ${side}" shape-rendering="crispEdges" role="img" aria-label="QR code: ${text}"><rect width="${side}" height="${side}" fill="#fff"/><path fill="#000" d="${rows}"/></svg>`;
}

interface Code {
  readonly size: number;
  get(x: number, y: number): boolean;
}

/** The dark stretches of a row. */
function rowPath(code: Code, y: number): string {
  let path = '';
  for (let x = 0; x < code.size; x++) {
    if (!code.get(x, y)) continue;
    const from = x;
    while (x + 1 < code.size && code.get(x + 1, y)) x += 1;
    path += `M${from + QUIET} ${y + QUIET}h${x + 1 - from}v1H${from + QUIET}z`;
  }
  return path;
}
