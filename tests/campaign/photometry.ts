/**
 * Photometric files that are broken: bytes, lines and numbers changed by chance.
 *
 * What must hold: compiling a plan with such a file never throws; its findings
 * can be shown without a control sign; a lamp whose file is taken gives a number of
 * candela, not below 0, in every direction (further on, what is no number counts as
 * dark and would not be seen), and so do the figures.
 */

import { readFileSync } from 'node:fs';
import { compilePlan } from '../../compiler/compile.ts';
import { renderFindings } from '../../compiler/findings/render.ts';
import { intensityAt, readPhotometry } from '../../compiler/light/photometry.ts';
import { type Chance, draw } from '../../firmware-sim/world/random.ts';
import { BOARDS as boards, samplePlan } from '../support/boards.ts';
import { type Campaign, hold, pick } from './campaign.ts';
import { UNSEEN } from './plans.ts';

const SOUND = readFileSync(new URL('../compiler/light/flat-1000lm.ies', import.meta.url), 'latin1');
const PLAN = samplePlan('smallest').replace('front: { beside', 'front: { photometry: lamp.ies, beside');
const VALUES = [
  ...['0', '-1', '1e999', 'NaN', '1e-320', '99999999', '360', '0.0', '', '.', '1e', '1,5', 'TILT=NONE'],
  '\u001b[2J',
];

function broken(chance: Chance): string {
  let text = SOUND;
  for (let change = 0; change <= draw(chance, 4); change++) {
    const lines = text.split('\n');
    const at = draw(chance, text.length);
    const line = draw(chance, lines.length);
    switch (draw(chance, 10)) {
      case 0:
        text = text.slice(0, at) + String.fromCharCode(draw(chance, 256)) + text.slice(at + 1);
        break;
      case 1:
        text = text.slice(0, at);
        break;
      case 2:
        lines.splice(line, 1 + draw(chance, 2));
        text = lines.join('\n');
        break;
      case 3:
        lines.splice(line, 0, lines[draw(chance, lines.length)] ?? '');
        text = lines.join('\n');
        break;
      default: {
        const numbers = [...text.matchAll(/-?\d+(\.\d+)?/g)];
        if (numbers.length === 0) break;
        const one = pick(chance, numbers);
        text = text.slice(0, one.index) + pick(chance, VALUES) + text.slice(one.index + one[0].length);
      }
    }
  }
  return text;
}

/** Every direction, in steps that fall on the angles of files and beside them, degrees. */
function checkIntensities(text: string): void {
  const { photometry: read } = readPhotometry(text);
  if (read === undefined) return;
  hold(Number.isFinite(read.lumens), () => `lumens: ${read.lumens}`);
  for (let vertical = 0; vertical <= 180; vertical += 2.5) {
    for (let horizontal = -180; horizontal <= 360; horizontal += 7.5) {
      const candela = intensityAt(read, vertical, horizontal);
      const good = Number.isFinite(candela) && candela >= 0;
      hold(good, () => `${candela} cd at ${vertical}°, ${horizontal}°`);
    }
  }
}

export const photometry: Campaign = {
  name: 'photometry',
  about:
    'photometric files with bytes, lines and numbers changed: never a throw, light is a number or the file is refused',
  unit: 'files',
  share: 1,
  slice: 150,
  run(chance) {
    const text = broken(chance);
    checkIntensities(text);
    const {
      findings,
      timeline,
      text: plan,
    } = compilePlan(PLAN, {
      ...{ boards, advise: false, photometry: { 'lamp.ies': text } },
    });
    const shown = renderFindings(findings, { file: 'campaign', text: plan, units: 'metric' });
    hold(!UNSEEN.test(shown), () => `a control sign is shown: ${JSON.stringify(shown)}`);
    for (const treatment of timeline?.steered.treatments ?? []) {
      const figures = JSON.stringify(treatment.figures, (_, value) =>
        Number.isNaN(value) ? 'not a number' : value,
      );
      hold(!figures.includes('not a number'), () => `light is not a number: ${figures}`);
    }
    return 1;
  },
};
