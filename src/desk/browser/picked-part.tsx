/** What is picked in the picture: where it is, to be typed as well as dragged. */

import { parseQuantity } from '../../../compiler/read/quantity.ts';
import { lengthUnit } from '../../../compiler/write/length-text.ts';
import { sure } from '../../../shared/assert.ts';
import { anchorOf, makeMove } from './dragging.ts';
import { pick } from './shelf-picture.tsx';
import { checked, drawn, moment, notice, picked } from './state.ts';
import { TypedLength } from './typed-length.tsx';

const AXES = ['x', 'y', 'z'] as const;
const AXIS_WORDS = { x: 'from the left', y: 'from the front', z: 'above the shelf' } as const;

export function PickedPart() {
  const what = picked.value;
  const plan = drawn.value;
  const at = what && plan && anchorOf(plan, what);
  if (!what || !plan || !at)
    return (
      <p class="soft small">
        Press a lamp, a screen or a zone to see its entry and where it is; drag it to move it.
      </p>
    );
  const unit = lengthUnit(plan.units);
  const axes = AXES.filter((axis) => what.kind !== 'zone' || axis !== 'z');
  const burns = moment.value?.burning.includes(what.name);
  const type = (axis: number, text: string): void => {
    const result = parseQuantity(text, 'length');
    const now = checked.value?.plan && anchorOf(checked.value.plan, what);
    if (!('value' in result) || !now) {
      notice.value = `'${text}' is not a length with its unit, such as 250 mm or 10 in.`;
      return;
    }
    const shift: [number, number, number] = [0, 0, 0];
    shift[axis] = result.value - sure(now[axis]);
    if (shift[axis] !== 0) void makeMove(what, shift);
  };
  return (
    <section class="picked-part" aria-label={`${what.kind} ${what.name}`}>
      <h3>
        {what.kind} {what.name}
        {what.kind === 'lamp' ? <span class="soft"> {burns ? 'burning' : 'off'}</span> : null}
      </h3>
      <div class="fields">
        {axes.map((axis) => (
          <TypedLength
            key={`${what.kind} ${what.name} ${axis}`}
            label={AXIS_WORDS[axis]}
            length={sure(at[AXES.indexOf(axis)])}
            unit={unit}
            take={(text) => type(AXES.indexOf(axis), text)}
          />
        ))}
        <button type="button" class="quiet" onClick={() => pick(what)}>
          Show in the text
        </button>
      </div>
    </section>
  );
}
