/**
 * A length in a field: what is typed stays until it is taken (Enter, or the field is left),
 * whatever is worked out and shown anew meanwhile.
 */

import { useState } from 'preact/hooks';
import { lengthText } from '../../../compiler/write/length-text.ts';

interface Given {
  readonly label: string;
  /** mm */
  readonly length: number;
  readonly unit: string;
  /** Takes the text as it was typed. */
  readonly take: (text: string) => void;
}

export function TypedLength({ label, length, unit, take }: Given) {
  const [typed, setTyped] = useState<string | undefined>(undefined);
  return (
    <label>
      {label}
      <input
        value={typed ?? lengthText(length, unit)}
        onInput={({ currentTarget }) => setTyped(currentTarget.value)}
        onChange={({ currentTarget }) => {
          setTyped(undefined);
          take(currentTarget.value);
        }}
      />
    </label>
  );
}
