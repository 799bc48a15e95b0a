/**
 * The body of an antler, as it is drawn wherever one is: thick at its root,
 * thin and pale at its growing tip.
 *
 * Always holds: its middle is the way of the tip, one millimetre a unit; how
 * thick it is drawn says nothing.
 */

import type { Vec3 } from '../../compiler/plan/plan.ts';
import { itemAt } from '../../shared/assert.ts';
import { html, type Markup } from './html.ts';

/** Half the width at the root and at the tip, mm. */
const ROOT = 9;
const TIP = 3.5;

/** An antler whose root is the origin, up is up, by the way of its tip; `axis`: seen from the front 0, from the right 1. Nothing before it grows. */
export function antlerBody(path: readonly Vec3[], axis: 0 | 1): Markup {
  const last = path.length - 1;
  if (last < 1) return html``;
  const sides = [1, -1].map((side) =>
    path.map((point, n) => {
      const [before, after] = [itemAt(path, Math.max(0, n - 1)), itemAt(path, Math.min(last, n + 1))];
      const [dx, dz] = [after[axis] - before[axis], after[2] - before[2]];
      const length = Math.hypot(dx, dz) || 1;
      const thick = ROOT + ((TIP - ROOT) * n) / last;
      const x = point[axis] + (side * thick * dz) / length;
      const z = point[2] - (side * thick * dx) / length;
      return `${x.toFixed(1)} ${(-z).toFixed(1)}`;
    }),
  );
  const outline = [...itemAt(sides, 0), ...itemAt(sides, 1).reverse()].join(' L');
  const tip = itemAt(path, last);
  return html`<path d="M${outline} Z" fill="#6b3f1d" stroke="#fdfcf8" stroke-width="1.5" stroke-linejoin="round"/><circle cx="${tip[axis].toFixed(1)}" cy="${(-tip[2]).toFixed(1)}" r="${TIP + 1}" fill="#f4e3c0" stroke="#6b3f1d" stroke-width="1.5"/>`;
}
