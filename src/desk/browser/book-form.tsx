/**
 * The grow book: what was seen, measured and done with bags, written as the
 * commands take it.
 *
 * Always holds: what was refused stays written, to be mended; a photo that is
 * too large is not even sent.
 */

import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useRef } from 'preact/hooks';
import { type Evening, PHOTO_BYTES_MAX, type Press } from '../wire-book.ts';
import { bagsMeant, doPress, eveningFault, historyOf, isPressing } from './evening-state.ts';

/** What an entry may be, in the words on the page. */
const KINDS = [
  ['note', 'seen or measured'],
  ['harvest', 'harvested'],
  ['cull', 'culled'],
  ['move', 'moved'],
  ['began', 'seen to begin'],
] as const;

type Kind = (typeof KINDS)[number][0];

const SIDES = ['', 'left', 'right', 'front', 'back'];

export function BookForm({ now }: { now: Evening }) {
  const kind = useSignal<Kind>('note');
  const form = useRef<HTMLFormElement>(null);
  const write = async (event: Event): Promise<void> => {
    event.preventDefault();
    const element = form.current;
    if (!element) return;
    const given = await givenIn(new FormData(element));
    if (given === undefined || !(await doPress(kind.value, given))) return;
    const names = now.batches.flatMap(({ bags }) => bags.map(({ name }) => name));
    // A name may have blanks; where names begin alike the longest is meant.
    const first = names
      .filter((name) => `${bagsMeant.value.trim().replaceAll(',', ' ')} `.startsWith(`${name} `))
      .sort((a, b) => b.length - a.length)[0];
    if (first !== undefined) historyOf.value = first;
    for (const field of element.querySelectorAll<HTMLInputElement>('.about input')) clear(field);
    for (const choice of element.querySelectorAll<HTMLSelectElement>('.about select'))
      choice.selectedIndex = 0;
  };
  return (
    <section class="card book" aria-label="The grow book">
      <h3>The grow book</h3>
      <form ref={form} onSubmit={(event) => void write(event)}>
        <div class="fields">
          <Field label={kind.value === 'note' ? 'Bag or batch (empty: the whole rack)' : 'Bags, with commas'}>
            <input
              name="bags"
              list="bags-known"
              required={kind.value !== 'note'}
              autocomplete="off"
              placeholder={now.batches[0]?.bags[0]?.name}
              value={bagsMeant.value}
              onInput={({ currentTarget }) => {
                bagsMeant.value = currentTarget.value;
              }}
            />
          </Field>
          <datalist id="bags-known">
            {kind.value === 'began'
              ? now.batches.map(({ name }) => <option key={name} value={name} />)
              : null}
            {now.batches.flatMap(({ bags }) =>
              bags.map(({ name, place }) => (
                <option key={name} value={name}>
                  {place ?? 'not on the rack'}
                </option>
              )),
            )}
          </datalist>
          <Field label="was">
            <select
              value={kind.value}
              onChange={({ currentTarget }) => {
                kind.value = KINDS.find(([one]) => one === currentTarget.value)?.[0] ?? 'note';
              }}
            >
              {KINDS.map(([one, words]) => (
                <option key={one} value={one}>
                  {words}
                </option>
              ))}
            </select>
          </Field>
          <Field label="Day">
            <input type="date" name="day" required key={now.today} defaultValue={now.today} />
          </Field>
        </div>
        <div class="fields about" key={kind.value}>
          <About kind={kind.value} now={now} />
        </div>
        <button type="submit" disabled={isPressing.value}>
          Write it into the book
        </button>
      </form>
    </section>
  );
}

function clear(field: HTMLInputElement): void {
  if (field.type === 'checkbox') field.checked = false;
  else field.value = '';
}

/** What is asked of each kind. */
function About({ kind, now }: { kind: Kind; now: Evening }) {
  const { height, mass } = now.examples;
  switch (kind) {
    case 'note':
      return (
        <>
          <Text name="height" label="Height" example={height} />
          <Text name="lean" label="Lean" example="20 deg" />
          <Field label="to the">
            <select name="side">
              {SIDES.map((side) => (
                <option key={side} value={side}>
                  {side === '' ? '(no side)' : side}
                </option>
              ))}
            </select>
          </Field>
          <Text name="mass" label="Mass" example={mass} />
          <Text name="text" label="In words" />
          <Field label="Photo (JPEG, PNG, WebP or GIF)">
            <input type="file" name="photo" accept="image/*" />
          </Field>
        </>
      );
    case 'harvest':
      return (
        <>
          <Text name="fresh" label="Fresh mass" example={mass} />
          <Text name="dry" label="Dry mass, also later" />
          <label class="tick">
            <input type="checkbox" name="together" value="yes" /> weighed together
          </label>
          <Text name="text" label="In words" />
        </>
      );
    case 'cull':
      return (
        <>
          <Field label="Why">
            <select name="why">
              {now.reasons.map((reason) => (
                <option key={reason}>{reason}</option>
              ))}
            </select>
          </Field>
          <Text name="text" label="In words" />
        </>
      );
    case 'move':
      return (
        <>
          <Field label="To the zone, or a place in it">
            <input name="to" list="zones-known" autocomplete="off" placeholder={now.zones[0]} />
          </Field>
          <datalist id="zones-known">
            {now.zones.map((zone) => (
              <option key={zone} value={zone} />
            ))}
          </datalist>
          <Field label="or change places with">
            <input name="swap" list="bags-known" autocomplete="off" />
          </Field>
        </>
      );
    case 'began':
      return (
        <>
          <Field label="What">
            <select name="what">
              {[...new Set(now.batches.flatMap(({ begins }) => begins))].map((one) => (
                <option key={one}>{one}</option>
              ))}
            </select>
          </Field>
          <p class="soft small">
            Of a whole batch, by its name, it is written into the plan too, and the later stages shift.
          </p>
        </>
      );
  }
}

function Field({ label, children }: { label: string; children: ComponentChildren }) {
  return (
    // biome-ignore lint/a11y/noLabelWithoutControl: its control comes as its child.
    <label>
      {label}
      {children}
    </label>
  );
}

function Text({ name, label, example }: { name: string; label: string; example?: string }) {
  return (
    <Field label={label}>
      <input name={name} autocomplete="off" placeholder={example} />
    </Field>
  );
}

/** What the form says; undefined where its photo cannot be sent. */
async function givenIn(data: FormData): Promise<Partial<Press> | undefined> {
  const text = (name: string): string => {
    const value = data.get(name);
    return typeof value === 'string' ? value.trim() : '';
  };
  const photo = data.get('photo');
  const file = photo instanceof File && photo.size > 0 ? photo : undefined;
  if (file && file.size > PHOTO_BYTES_MAX) {
    eveningFault.value = `${file.name} has more than 20 MB. Nothing was written. Take a smaller photo.`;
    return undefined;
  }
  return {
    ...{ bags: text('bags'), day: text('day'), height: text('height'), mass: text('mass') },
    lean: [text('lean'), text('lean') === '' ? '' : text('side')].filter(Boolean).join(' '),
    ...{ text: text('text'), fresh: text('fresh'), dry: text('dry'), together: text('together') },
    ...{ why: text('why'), to: text('to'), swap: text('swap'), what: text('what') },
    ...(file ? { photo: await base64Of(file), photoName: file.name } : {}),
  };
}

function base64Of(file: File): Promise<string> {
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.addEventListener('load', () => resolve(String(reader.result).replace(/^[^,]*,/, '')));
    reader.addEventListener('error', () => reject(new Error(`${file.name} cannot be read.`)));
    reader.readAsDataURL(file);
  });
}
