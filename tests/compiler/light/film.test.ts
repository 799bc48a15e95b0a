/**
 * The film: against the published figures for low-density polyethylene, against closed
 * forms, and against a tracer of single photons through a bag, written apart.
 */

import { describe, expect, it } from 'vitest';
import { NARROW } from '../../../compiler/advice/bands.ts';
import { FORWARD, filmContrast, ownFilm, USUAL_FILM } from '../../../compiler/light/film.ts';
import { FILM_PASSES, FILM_SCATTERS } from '../../../compiler/resolve/builtin.ts';
import { sure } from '../../../shared/assert.ts';

/** LDPE at normal incidence (light.md, abstract of an optical chapter, opened): what passes, and of that what goes straight on. */
const DRY = { passes: 0.9, regular: 0.5 };
const WET = { passes: 0.67, regular: 0.22 };

describe('published film', () => {
  it.each([
    ['dry', DRY],
    ['wet', WET],
  ])('%s: passes and scatters as measured, all of it forward', (_, { passes, regular }) => {
    const film = { passes, scatters: 1 - regular };
    const left = ownFilm(film, USUAL_FILM);
    expect(left.total).toBeCloseTo(passes, 9);
    // Scattered light without a direction of its own leaves the regular part and nothing else.
    const lost = ownFilm(film, { forward: 0, returns: 0 });
    expect(lost.direct).toBeCloseTo(passes * regular, 9);
    expect(lost.kept).toBeCloseTo(passes * regular, 9);
    // Forward: more of the vector is kept, never more than passes.
    expect(left.kept).toBeGreaterThan(passes * regular);
    expect(left.kept).toBeLessThan(passes);
  });
  it('the defaults are those of wet film, and what is assumed of condensation fits it', () => {
    expect(FILM_SCATTERS.value).toBeCloseTo(1 - WET.regular, 9);
    expect(Math.abs(FILM_PASSES.value - WET.passes)).toBeLessThan(0.05);
    // "Condensation cut vertical transmission about 22 %" (another measurement of the same chapter).
    expect(1 - WET.passes / DRY.passes).toBeGreaterThan(0.2);
    expect(1 - WET.passes / DRY.passes).toBeLessThan(0.28);
  });
  it('forward scatter leaves more contrast than even scatter did', () => {
    const wet = { passes: WET.passes, scatters: 1 - WET.regular };
    const even = filmContrast(wet, { forward: 0, returns: 0 });
    expect(even).toBeLessThan(3);
    expect(filmContrast(wet)).toBeGreaterThan(3 * even);
  });
});

/** A small repeatable source of random numbers (Lehmer, 48271 mod 2³¹ − 1). */
function random(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}

type Way = readonly [number, number, number];

/** A direction about an axis-parallel unit vector, as often as its cosine: a matt sheet lit from behind. */
function matt(axis: 0 | 1 | 2, sign: number, next: () => number): Way {
  const [turn, up] = [2 * Math.PI * next(), Math.sqrt(next())];
  const out = Math.sqrt(1 - up * up);
  const way = [out * Math.cos(turn), out * Math.sin(turn)];
  return [0, 1, 2].map((i) => (i === axis ? sign * up : (way.pop() ?? 0))) as unknown as Way;
}

describe('a matt sheet’s lobe', () => {
  it('has the mean cosine 2/3 that is assumed, and lights a face as the model says to 5 % of what comes in', () => {
    const next = random(3);
    const count = 40_000;
    const ways = Array.from({ length: count }, () => matt(0, 1, next));
    expect(ways.reduce((sum, [x]) => sum + x, 0) / count).toBeCloseTo(FORWARD.mid, 2);
    const g = FORWARD.mid;
    for (const degrees of [0, 30, 60, 90, 120, 150, 180]) {
      const [nx, ny] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
      const found = ways.reduce((sum, [x, y]) => sum + Math.max(0, nx * x + ny * y), 0) / count;
      const model = (2 * g - 1) * Math.max(0, nx) + ((2 - 2 * g) * (1 + nx)) / 4;
      expect(Math.abs(found - model), `${degrees}°`).toBeLessThan(0.05);
    }
  });
});

interface Inside {
  /** Means over the inside for an irradiance of 1 on the lit side: scalar, along the beam, on a face toward it and away. */
  readonly scalar: number;
  readonly vector: number;
  readonly lit: number;
  readonly far: number;
}

/**
 * Photons through a box of film lit by a beam along x: each crosses the film once, scattered
 * or not; wherever it meets film again it leaves, is thrown back inside, or is taken. The
 * block below takes all. Track lengths through the inside give the means.
 */
function traced(
  size: Way,
  film: { passes: number; scatters: number },
  returns: number,
  block: boolean,
  photons: number,
): Inside {
  const next = random(11);
  const sum = { scalar: 0, vector: 0, lit: 0, far: 0 };
  for (let n = 0; n < photons; n++) {
    if (next() >= film.passes) continue;
    let at = [0, next() * size[1], next() * size[2]];
    let way: Way = next() < film.scatters ? matt(0, 1, next) : [1, 0, 0];
    for (;;) {
      const gaps = [0, 1, 2].map((i) => {
        const speed = way[i as 0 | 1 | 2];
        const to = speed > 0 ? size[i as 0 | 1 | 2] : 0;
        return speed === 0 ? Number.POSITIVE_INFINITY : (to - (at[i] ?? 0)) / speed;
      });
      const long = Math.max(0, Math.min(...gaps));
      const axis = gaps.indexOf(Math.min(...gaps)) as 0 | 1 | 2;
      sum.scalar += long / 4;
      sum.vector += long * way[0];
      sum.lit += long * Math.max(0, way[0]);
      sum.far += long * Math.max(0, -way[0]);
      at = at.map((value, i) => value + long * way[i as 0 | 1 | 2]);
      const below = block && axis === 2 && way[2] < 0;
      if (below || next() < film.passes || next() >= returns) break;
      way = matt(axis, way[axis] > 0 ? -1 : 1, next);
    }
  }
  const [x, y, z] = size;
  const each = (y * z) / (x * y * z) / photons;
  return {
    scalar: sum.scalar * each,
    vector: sum.vector * each,
    lit: sum.lit * each,
    far: sum.far * each,
  };
}

/** The same by the model: a beam of irradiance 1 has a scalar illuminance of 1/4. */
function modelled(film: { passes: number; scatters: number }, returns: number): Inside {
  const { direct, kept, total, inner } = ownFilm(film, { ...USUAL_FILM, returns });
  const even = (total - direct + inner) / 4;
  const smooth = (kept - direct) / 2;
  return {
    scalar: (total + inner) / 4,
    vector: kept,
    lit: direct + even + smooth,
    far: even - smooth,
  };
}

describe('against single photons through a bag', () => {
  it('clear film in a wide flat box: exact', () => {
    const film = { passes: 0.8, scatters: 0 };
    const [found, model] = [traced([0.1, 40, 40], film, 0, false, 10_000), modelled(film, 0)];
    expect(found.scalar / model.scalar).toBeCloseTo(1, 1);
    expect(found.vector / model.vector).toBeCloseTo(1, 1);
    expect(found.far).toBe(0);
  });
  it('scattering film in a wide flat box, where no light gets out at the sides: vector to 2 %, faces to 5 % of the beam', () => {
    for (const { passes, regular } of [DRY, WET]) {
      const film = { passes, scatters: 1 - regular };
      const [found, model] = [traced([0.01, 10, 10], film, 0, false, 20_000), modelled(film, 0)];
      // A track through a flat box is longer the more it slants: counted by flux, as a face does.
      expect(Math.abs(found.lit - passes)).toBeLessThan(0.02);
      expect(model.lit).toBeLessThan(found.lit + 0.02);
      expect(Math.abs(found.far - model.far)).toBeLessThan(0.05);
    }
  });
  it('thrown back inside: in a sphere as the model has it, in a cube as its closed form, to 10 %', () => {
    const film = { passes: 0.67, scatters: 0 };
    const b = 1 - film.passes;
    const [all, none] = [1, 0].map((returns) => traced([1, 1, 1], film, returns, false, 20_000));
    // What is thrown back lies evenly on all walls: M = Φ/A, and even light of exitance M has M as its scalar.
    const inCube = (film.passes * b) / (1 - b) / 6;
    expect((sure(all).scalar - sure(none).scalar) / inCube).toBeGreaterThan(0.9);
    expect((sure(all).scalar - sure(none).scalar) / inCube).toBeLessThan(1.1);
    // A sphere catches a quarter of its surface's worth of a beam (πr² of 4πr²).
    const inSphere = (film.passes * b) / (1 - b) / 4;
    expect(modelled(film, 1).scalar - modelled(film, 0).scalar).toBeCloseTo(inSphere, 9);
  });

  it('in a narrow bag lit at its narrow side scattered light leaves again: a sixth to a third less level, contrast to a third', () => {
    const size = [0.2, 0.12, 0.34] as const;
    for (const { passes, regular } of [DRY, WET]) {
      const film = { passes, scatters: 1 - regular };
      const [found, model] = [traced(size, film, 0.5, true, 40_000), modelled(film, 0.5)];
      // The model follows no light out of the sides: so much too bright it is, and no more.
      expect(found.lit / model.lit).toBeGreaterThan(NARROW);
      expect(found.lit / model.lit).toBeLessThan(0.95);
      const contrast = found.lit / found.far / (model.lit / model.far);
      expect(contrast).toBeGreaterThan(2 / 3);
      expect(contrast).toBeLessThan(4 / 3);
    }
  });
});
