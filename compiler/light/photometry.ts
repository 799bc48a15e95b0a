/**
 * Reads photometric files: IESNA LM-63 (`.ies`), type C.
 *
 * Always holds: nothing is thrown; a bad file gives a fault with its line. Angles are
 * degrees, intensities candela (lamp, ballast and candela multipliers applied); vertical
 * angle 0 is straight ahead of the lamp.
 */
import { itemAt, sure } from '../../shared/assert.ts';

/** A lamp's intensities. */
export interface Photometry {
  /** Vertical angles from straight ahead, ascending from 0 to 90 or 180. */
  readonly vertical: readonly number[];
  /** Horizontal angles, ascending from 0 to 0, 90, 180 or 360: what is left out follows by symmetry. */
  readonly horizontal: readonly number[];
  /** Candela by horizontal, then vertical angle. */
  readonly candela: readonly (readonly number[])[];
  /** Lumens of the whole file. */
  readonly lumens: number;
}

interface PhotometryFault {
  /** 1-based line. */
  readonly line: number;
  /** What is wrong: a stable word for the findings. */
  readonly fault:
    | 'not-lm63'
    | 'tilt'
    | 'cut-short'
    | 'not-a-number'
    | 'count'
    | 'type'
    | 'vertical-angles'
    | 'horizontal-angles'
    | 'candela'
    | 'too-much'
    | 'no-light';
}

type PhotometryRead =
  | { readonly photometry: Photometry; readonly fault?: undefined }
  | { readonly photometry?: undefined; readonly fault: PhotometryFault };

/** Most angles of either kind that are read. */
const ANGLES_MOST = 721;

class Stop extends Error {
  readonly fault: PhotometryFault;
  constructor(line: number, fault: PhotometryFault['fault']) {
    super(fault);
    this.fault = { line, fault };
  }
}

/** Reads a file's text. */
export function readPhotometry(text: string): PhotometryRead {
  try {
    return { photometry: parse(text) };
  } catch (stop) {
    if (stop instanceof Stop) return { fault: stop.fault };
    throw stop;
  }
}

function parse(text: string): Photometry {
  const lines = text.split(/\r\n|\r|\n/);
  if (!/^\uFEFF?IESNA|^\uFEFF?IES:/.test(itemAt(lines, 0))) throw new Stop(1, 'not-lm63');
  const tilt = lines.findIndex((line) => line.startsWith('TILT='));
  if (tilt < 0) throw new Stop(lines.length, 'tilt');
  if (itemAt(lines, tilt).trim() !== 'TILT=NONE') throw new Stop(tilt + 1, 'tilt');
  return parseNumbers(new Numbers(lines, tilt + 1));
}

/** The numbers after the keywords, one by one, each with its line. */
class Numbers {
  line: number;
  private readonly words: { word: string; line: number }[] = [];
  private next = 0;

  constructor(lines: readonly string[], from: number) {
    this.line = from + 1;
    for (let n = from; n < lines.length; n++) {
      for (const word of itemAt(lines, n).split(/[\s,]+/))
        if (word !== '') this.words.push({ word, line: n + 1 });
    }
  }

  take(): number {
    const found = this.words[this.next++];
    if (found === undefined) throw new Stop(this.words.at(-1)?.line ?? this.line, 'cut-short');
    this.line = found.line;
    const value = Number(found.word);
    if (!/^[-+]?[\d.]/.test(found.word) || !Number.isFinite(value))
      throw new Stop(found.line, 'not-a-number');
    return value;
  }

  takeCount(): number {
    const value = this.take();
    if (!Number.isInteger(value) || value < 1 || value > ANGLES_MOST) throw new Stop(this.line, 'count');
    return value;
  }

  takeMany(count: number): { values: number[]; line: number } {
    const values = Array.from({ length: count }, () => this.take());
    return { values, line: this.line };
  }

  end(): void {
    const more = this.words[this.next];
    if (more !== undefined) throw new Stop(more.line, 'too-much');
  }
}

function parseNumbers(numbers: Numbers): Photometry {
  numbers.takeMany(2); // number of lamps, lumens per lamp
  const multiplier = numbers.take();
  const [verticals, horizontals] = [numbers.takeCount(), numbers.takeCount()];
  if (numbers.take() !== 1) throw new Stop(numbers.line, 'type');
  numbers.takeMany(4); // units, width, length, height: the plan says how large the lamp is
  const ballast = numbers.take();
  numbers.takeMany(2); // future use (or ballast-lamp factor), input watts: the plan says the power
  const vertical = numbers.takeMany(verticals);
  if (!goodVertical(vertical.values)) throw new Stop(vertical.line, 'vertical-angles');
  const horizontal = numbers.takeMany(horizontals);
  if (!goodHorizontal(horizontal.values)) throw new Stop(horizontal.line, 'horizontal-angles');
  const candela = horizontal.values.map(() => {
    const { values, line } = numbers.takeMany(verticals);
    if (values.some((value) => value < 0)) throw new Stop(line, 'candela');
    return values.map((value) => value * multiplier * ballast);
  });
  numbers.end();
  const made = { vertical: vertical.values, horizontal: horizontal.values, candela };
  const lumens = fluxOf(made);
  if (!(lumens > 0)) throw new Stop(numbers.line, 'no-light');
  return { ...made, lumens };
}

const ascending = (values: readonly number[]): boolean =>
  values.every((value, i) => i === 0 || value > itemAt(values, i - 1));

/** Down only (0 to 90) or all round (0 to 180); files that begin at 90 shine backward only and are refused. */
function goodVertical(values: readonly number[]): boolean {
  return values.length > 1 && ascending(values) && values[0] === 0 && [90, 180].includes(sure(values.at(-1)));
}

function goodHorizontal(values: readonly number[]): boolean {
  return ascending(values) && values[0] === 0 && [0, 90, 180, 360].includes(sure(values.at(-1)));
}

/** Intensity (cd) at a vertical and a horizontal angle, degrees, linear between the file's angles. */
export function intensityAt(photometry: Photometry, vertical: number, horizontal: number): number {
  const { vertical: angles, horizontal: planes, candela } = photometry;
  if (vertical > sure(angles.at(-1))) return 0;
  const v = locate(angles, vertical);
  const h = locate(planes, folded(sure(planes.at(-1)), horizontal));
  const along = (plane: number): number =>
    mix(itemAt(itemAt(candela, plane), v.at), itemAt(candela, plane)[v.at + 1] ?? 0, v.share);
  return h.share === 0 ? along(h.at) : mix(along(h.at), along(h.at + 1), h.share);
}

/** Brings a horizontal angle into the range a symmetric file gives. */
function folded(last: number, horizontal: number): number {
  const turned = ((horizontal % 360) + 360) % 360;
  if (last === 0) return 0;
  if (last === 360) return turned;
  const half = turned > 180 ? 360 - turned : turned;
  return last === 180 ? half : half > 90 ? 180 - half : half;
}

const mix = (a: number, b: number, share: number): number => a + (b - a) * share;

function locate(angles: readonly number[], angle: number): { at: number; share: number } {
  let [low, high] = [0, angles.length - 1];
  if (angle >= itemAt(angles, high)) return { at: high, share: 0 };
  while (high - low > 1) {
    const half = (low + high) >> 1;
    if (itemAt(angles, half) <= angle) low = half;
    else high = half;
  }
  return { at: low, share: (angle - itemAt(angles, low)) / (itemAt(angles, high) - itemAt(angles, low)) };
}

/** Lumens: intensity over the sphere, in steps of half a degree by five. */
function fluxOf(made: Omit<Photometry, 'lumens'>): number {
  const whole = { ...made, lumens: 0 };
  const [down, round] = [360, 72];
  let sum = 0;
  for (let i = 0; i < down; i++) {
    const [from, to] = [(i * 180) / down, ((i + 1) * 180) / down];
    const ring = 2 * Math.PI * (Math.cos((from * Math.PI) / 180) - Math.cos((to * Math.PI) / 180));
    for (let k = 0; k < round; k++) {
      sum += (intensityAt(whole, (from + to) / 2, ((k + 0.5) * 360) / round) * ring) / round;
    }
  }
  return sum;
}
