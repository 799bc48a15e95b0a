/** A controller: what it does now, its flash, its lamps, its log. */

import { useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { JobKind, JobLine, JobView } from '../wire.ts';
import { answerJob, stopJob } from './api.ts';
import { begin, boards, fail, jobs, lookForPorts, port } from './controller-work.ts';
import { checked, planText } from './state.ts';

export function ControllerPane() {
  useEffect(() => void lookForPorts(), []);
  const job = jobs.value.get(port.value);
  const isVirtual = port.value.startsWith('virtual');
  return (
    <div class="controller-pane">
      <PortChoice />
      {port.value === '' ? null : (
        <>
          <Deeds job={job} />
          {isVirtual ? <TimePasses isBusy={isBusy(job)} /> : null}
        </>
      )}
      {job ? <Work job={job} /> : null}
      <p class="soft small">
        What is said here is what the board knows: a relay whose contact has welded stays on unseen, so look
        at the lamps themselves. Wires on mains voltage are changed with the mains off, by somebody who is
        licensed for it where you live.
      </p>
    </div>
  );
}

/** Something is under way that is not broken off for other work. */
const isBusy = (job: JobView | undefined): boolean => job !== undefined && !job.ended && job.kind !== 'look';

const NEW = 'new';
const OTHER = 'other';

function PortChoice() {
  const found = boards.value;
  const kind = useSignal('');
  if (!found) return <p class="soft">Looking for ports …</p>;
  const listed = [
    ...new Set([...found.virtual, ...[...jobs.value.keys()].filter((one) => /^virtual/.test(one))]),
  ];
  const known = [...found.ports.map(({ path }) => path), ...listed];
  const chosen = kind.value || (known.includes(port.value) ? port.value : port.value === '' ? '' : OTHER);
  const choose = (value: string): void => {
    kind.value = value === NEW || value === OTHER ? value : '';
    port.value = kind.value === '' ? value : '';
  };
  return (
    <div class="fields">
      <label>
        Controller on
        <select value={chosen} onChange={({ currentTarget }) => choose(currentTarget.value)}>
          <option value="">choose a port</option>
          {found.ports.map(({ path, title, likely }) => (
            <option key={path} value={path}>
              {path}
              {likely ? ' (USB)' : ''} {title}
            </option>
          ))}
          {listed.map((one) => (
            <option key={one}>{one}</option>
          ))}
          <option value={NEW}>a new virtual controller</option>
          <option value={OTHER}>another port</option>
        </select>
      </label>
      {chosen === NEW ? <NewVirtual done={() => (kind.value = '')} /> : null}
      {chosen === OTHER ? (
        <label>
          Port
          <input
            value={port.value}
            placeholder="/dev/ttyUSB0"
            onChange={({ currentTarget }) => {
              port.value = currentTarget.value.trim();
            }}
          />
        </label>
      ) : null}
      <button type="button" class="quiet" onClick={() => void lookForPorts()}>
        Look for ports
      </button>
      {found.ports.length === 0 && chosen === '' ? (
        <p class="soft small">
          This computer has no serial port. Plug the controller in and look again; or try everything on a
          virtual controller, which is kept in a file of the folder.
        </p>
      ) : null}
    </div>
  );
}

/** A virtual controller is made by the first work at it. */
function NewVirtual({ done }: { done: () => void }) {
  const name = useSignal('rack.controller');
  const onChip = useSignal(false);
  const at = useSignal('');
  const make = (event: Event): void => {
    event.preventDefault();
    port.value = `virtual:${onChip.value ? 'chip:' : ''}${name.value.trim()}`;
    done();
    void begin({ kind: 'look', at: at.value });
  };
  return (
    <form class="fields" onSubmit={make}>
      <label>
        Kept in the file
        <input
          value={name.value}
          required
          onInput={({ currentTarget }) => (name.value = currentTarget.value)}
        />
      </label>
      <label>
        Its time begins on (else the first sealing)
        <input
          type="date"
          value={at.value}
          onInput={({ currentTarget }) => (at.value = currentTarget.value)}
        />
      </label>
      <label class="tick">
        <input
          type="checkbox"
          checked={onChip.value}
          onChange={({ currentTarget }) => (onChip.value = currentTarget.checked)}
        />
        the real firmware on an emulated chip (slower)
      </label>
      <button type="submit">Make it</button>
    </form>
  );
}

/** What can be done with the controller. */
function Deeds({ job }: { job: JobView | undefined }) {
  const names = checked.value?.plan?.controllers.map(({ name }) => name) ?? [];
  const controller = useSignal('');
  const unit = useSignal('');
  const flags = useSignal<readonly string[]>([]);
  const busy = isBusy(job);
  const which = names.includes(controller.value)
    ? controller.value
    : names.length > 1
      ? (names[0] ?? '')
      : '';
  const act = (kind: JobKind): void =>
    void begin({ kind, controller: which, unit: unit.value.trim(), flags: flags.value.join(' ') });
  return (
    <section aria-label="What to do">
      {names.length > 1 ? (
        <label>
          In the plan it is{' '}
          <select value={which} onChange={({ currentTarget }) => (controller.value = currentTarget.value)}>
            {names.map((name) => (
              <option key={name}>{name}</option>
            ))}
          </select>
        </label>
      ) : null}
      <p class="acts">
        <button type="button" disabled={busy} onClick={() => act('look')}>
          Look at it
        </button>
        <button type="button" disabled={busy} onClick={() => act('flash')}>
          Flash the plan
        </button>
        <button type="button" disabled={busy} onClick={() => act('lamps')}>
          Light its lamps in turn
        </button>
      </p>
      {planText.value?.isUnsaved.value ? (
        <p class="soft small">The text is not saved: what is flashed is the file as it was saved.</p>
      ) : null}
      <Rarely unit={unit} flags={flags} />
    </section>
  );
}

/** What a refusal may ask for, by the words of the commands. */
const FLAGS: readonly (readonly [flag: string, words: string])[] = [
  ['spare', 'this board takes the place of the one that had its name so far (--spare)'],
  ['new-history', 'its log is not the one kept: keep it apart from now on (--new-history)'],
  ['set-clock', "set its clock to this computer's when looking at it (--set-clock)"],
];

function Rarely({ unit, flags }: { unit: { value: string }; flags: { value: readonly string[] } }) {
  return (
    <details class="small">
      <summary>Rarely needed</summary>
      {FLAGS.map(([flag, words]) => (
        <label key={flag} class="tick">
          <input
            type="checkbox"
            checked={flags.value.includes(flag)}
            onChange={({ currentTarget }) => {
              const others = flags.value.filter((one) => one !== flag);
              flags.value = currentTarget.checked ? [...others, flag] : others;
            }}
          />
          {words}
        </label>
      ))}
      <label class="tick">
        it answers as unit number (--unit)
        <input
          inputMode="numeric"
          size={4}
          value={unit.value}
          onInput={({ currentTarget }) => (unit.value = currentTarget.value)}
        />
      </label>
    </details>
  );
}

/** What may happen to a virtual controller on the way, with the words of `--event`. */
const ON_THE_WAY: readonly (readonly [words: string, event: string])[] = [
  ['nothing else happens', ''],
  ['the power goes for 2 hours after a day', '+1d cut 2h'],
  ['someone presses the button after a day', '+1d press'],
  ["the clock's battery dies after a day", '+1d clock stopped'],
];

function TimePasses({ isBusy: busy }: { isBusy: boolean }) {
  const advance = useSignal('7d');
  const event = useSignal('');
  return (
    <form
      class="fields"
      onSubmit={(submitted) => {
        submitted.preventDefault();
        void begin({ kind: 'look', advance: advance.value.trim(), event: event.value });
      }}
    >
      <label>
        Time to pass
        <input
          value={advance.value}
          size={6}
          onInput={({ currentTarget }) => (advance.value = currentTarget.value)}
        />
      </label>
      <label>
        Meanwhile
        <select value={event.value} onChange={({ currentTarget }) => (event.value = currentTarget.value)}>
          {ON_THE_WAY.map(([words, one]) => (
            <option key={one} value={one}>
              {words}
            </option>
          ))}
        </select>
      </label>
      <button type="submit" disabled={busy}>
        Let it pass
      </button>
    </form>
  );
}

const DOING: Readonly<Record<JobKind, readonly [now: string, ended: string]>> = {
  look: ['Looking at it', 'Looked at'],
  flash: ['Flashing', 'Flash'],
  lamps: ['Lighting its lamps in turn', 'Lamps'],
};

/** The work under way, or what came of the last. */
function Work({ job }: { job: JobView }) {
  const { kind, lines, progress, question, status, ended, port: where, plan } = job;
  const [now, over] = DOING[kind];
  return (
    <section class="work" aria-label="Work at the controller">
      <h3>
        {ended ? over : `${now} …`}{' '}
        <span class="soft small">
          {where}, {plan}
        </span>
      </h3>
      {progress ? (
        <label class="small">
          {progress.title} <progress value={progress.part} max={1} />
        </label>
      ) : null}
      {status ? <Status rows={status} /> : null}
      <Lines lines={lines} />
      {question ? <Question key={question.number} job={job} /> : null}
      {ended?.fault ? (
        <p class="fault ill" role="alert">
          {ended.fault}
        </p>
      ) : null}
      {!ended && kind !== 'flash' ? (
        <p class="acts">
          <button type="button" class="quiet" onClick={() => void stopJob(job.id).catch(fail)}>
            {kind === 'look' ? 'Stop looking' : 'Stop, all lamps as before'}
          </button>
        </p>
      ) : null}
    </section>
  );
}

function Status({ rows }: { rows: NonNullable<JobView['status']> }) {
  return (
    <table class="status-rows">
      <caption class="soft">What it does now</caption>
      <tbody>
        {rows.map(([heading, words]) => (
          <tr key={heading}>
            <th scope="row">{heading}</th>
            <td>{words}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Lines({ lines }: { lines: readonly JobLine[] }) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => {
    place.current?.scrollTo({ top: place.current.scrollHeight });
  }, [lines.length]);
  if (lines.length === 0) return null;
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reached by keys.
    <div class="lines" role="log" aria-label="What it said" tabIndex={0} ref={place}>
      {lines.map(({ of, words }, n) => (
        <p key={`${n} ${words}`} class={of === 'say' ? '' : 'soft'}>
          {words}
        </p>
      ))}
    </div>
  );
}

/** Asked as on a terminal, answered by a press. */
function Question({ job }: { job: JobView }) {
  const { id, question } = job;
  const isSent = useSignal(false);
  if (!question) return null;
  const answer = (text: string): void => {
    isSent.value = true;
    answerJob(id, question.number, text).catch((error: unknown) => {
      isSent.value = false;
      fail(error);
    });
  };
  return (
    <div class="question card" role="alert">
      <p>{question.words}</p>
      <p class="acts">
        <button type="button" disabled={isSent.value} onClick={() => answer('y')}>
          Yes
        </button>
        <button type="button" class="quiet" disabled={isSent.value} onClick={() => answer('n')}>
          No
        </button>
      </p>
    </div>
  );
}
