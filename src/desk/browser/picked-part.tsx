/** What is picked in the picture: where it is, to be typed as well as dragged. */

import { parseQuantity } from '../../../compiler/read/quantity.ts';
import { lengthUnit } from '../../../compiler/write/length-text.ts';
import { anchorOf } from './anchor.ts';
import { makeMove } from './dragging.ts';
import { pick } from './shelf-picture.tsx';
import { drawn, moment, notice, picked } from './state.ts';
import { TypedLength } from './typed-length.tsx';

const AXES = [0, 1, 2] as const;
const AXIS_WORDS = ['from the left', 'from the front', 'above the shelf'] as const;

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
  const axes = AXES.filter((axis) => what.kind !== 'zone' || axis !== 2);
  const burns = moment.value?.burning.includes(what.name);
  const type = (axis: 0 | 1 | 2, text: string): void => {
    const result = parseQuantity(text, 'length');
    if (!('value' in result)) {
      notice.value = `'${text}' is not a length with its unit, such as 250 mm or 10 in.`;
      return;
    }
    void makeMove(what, { axis, to: result.value });
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
            length={at[axis]}
            unit={unit}
            take={(text) => type(axis, text)}
          />
        ))}
        <button type="button" class="quiet" onClick={() => pick(what)}>
          Show in the text
        </button>
      </div>
    </section>
  );
}
