/** The height at which a shelf's light is shown, to be slid or typed. */

import { parseQuantity } from '../../../compiler/read/quantity.ts';
import { lengthUnit } from '../../../compiler/write/length-text.ts';
import { inUnits, sizeWords, type Units } from '../../../shared/measures.ts';
import { notice } from './state.ts';
import { TypedLength } from './typed-length.tsx';

interface Given {
  /** mm above the shelf; it has `most` to the next one. */
  readonly height: number;
  readonly most: number;
  readonly units: Units;
  readonly put: (height: number) => void;
}

export function HeightField({ height, most, units, put }: Given) {
  const unit = lengthUnit(units);
  const type = (text: string): void => {
    const typed = parseQuantity(text, 'length');
    if ('value' in typed) put(typed.value);
    else notice.value = `'${text}' is not a length with its unit, such as ${inUnits('250 mm', units)}.`;
  };
  return (
    <div class="height">
      <TypedLength label="Light at, above the shelf" length={height} unit={unit} take={type} />
      <input
        type="range"
        min="0"
        max={most}
        step="5"
        value={height}
        aria-label="Light at, above the shelf"
        aria-valuetext={`${sizeWords(height, units)} above the shelf`}
        onInput={({ currentTarget }) => put(Number(currentTarget.value))}
      />
    </div>
  );
}
