/**
 * What the page asks of its server.
 *
 * Always holds: an answer that is no success is an error with the server's
 * own sentence; a server that does not answer is told apart.
 */

import type { ZoneRate } from '../../answers/crop/zone-rates.ts';
import type {
  Boards,
  Desk,
  DeskNews,
  HandedText,
  JobAsked,
  JobView,
  KeptText,
  OpenedPlan,
  Saved,
} from '../wire.ts';
import type { Evening, Lived, Press, Pressed, ReviewAnswer } from '../wire-book.ts';

/** The server said no, and why. */
export class Refused extends Error {}
/** Nobody answered: the server was ended, or the computer slept. */
export class Silent extends Error {}

async function ask<T>(path: string, query: Readonly<Record<string, string>>, body?: object): Promise<T> {
  const words = new URLSearchParams(query).toString();
  let response: Response;
  try {
    response = await fetch(words === '' ? path : `${path}?${words}`, {
      ...(body ? { method: 'PUT', body: JSON.stringify(body) } : {}),
      headers: { 'content-type': 'application/json' },
    });
  } catch {
    throw new Silent(
      'The desk has stopped. Start it again with `leanward desk`; what you typed is still here.',
    );
  }
  if (!response.ok) throw new Refused((await response.text()).trim());
  return (await response.json()) as T;
}

export const askDesk = (): Promise<Desk> => ask('/desk', {});
export const askPlan = (name: string, window = ''): Promise<OpenedPlan> => ask('/plan', { name, window });

/** What really happened to a plan, as it was saved. */
export const askLived = (name: string): Promise<Lived> => ask('/lived', { name });

/** The growth measured in the zones of a plan, as it was saved. */
export const askRates = (name: string): Promise<readonly ZoneRate[]> => ask('/rates', { name });

/** The text of a lamp's file (photometric, spectrum); undefined where there is none. */
export async function askLampFile(name: string): Promise<string | undefined> {
  const { text } = await ask<{ text: string | null }>('/lamp-file', { name });
  return text ?? undefined;
}

const asTexts = (handed: HandedText) => ({
  ...handed,
  count: String(handed.count),
  number: String(handed.number),
});

/** Hands over what was typed. */
export const keepText = (name: string, handed: HandedText): Promise<KeptText> =>
  ask('/unsaved', { name }, asTexts(handed));

/** Writes a plan, over the bytes that `over` marks where those are not what the text began from. */
export const savePlan = (name: string, handed: HandedText, over: string): Promise<Saved> =>
  ask('/plan', { name }, { ...asTexts(handed), over });

export const askBoards = (): Promise<Boards> => ask('/boards', {});
/** Has some work at a controller begun. */
export const beginJob = (asked: JobAsked): Promise<JobView> => ask('/job', {}, asked);
export const answerJob = (id: number, question: number, answer: string): Promise<object> =>
  ask('/job/answer', {}, { id: String(id), question: String(question), answer });
export const stopJob = (id: number): Promise<object> => ask('/job/stop', {}, { id: String(id) });

export const askEvening = (name: string): Promise<Evening> => ask('/evening', { name });
/** Has a press carried out; refused, nothing was written. */
export const sendPress = (name: string, press: Press): Promise<Pressed> => ask('/press', { name }, press);
/** What moving a bag would write; refused as the press would be. */
export const askWouldMove = (name: string, move: Pick<Press, 'bags' | 'to' | 'swap'>): Promise<Pressed> =>
  ask('/would-move', { name, ...move });
/** The review of a plan; of one lot its record. */
export const askReview = (name: string, lot: string): Promise<ReviewAnswer> => ask('/review', { name, lot });
export const photoAddress = (name: string, photo: string): string =>
  `/photo?${new URLSearchParams({ name, photo })}`;

/** Listens to what the server tells `window`; `onState` hears whether it is there. */
export function listen(
  window: string,
  onTold: (told: DeskNews) => void,
  onState: (isThere: boolean) => void,
): void {
  const source = new EventSource(`/told?window=${window}`);
  source.addEventListener('message', ({ data }: MessageEvent<string>) =>
    onTold(JSON.parse(data) as DeskNews),
  );
  source.addEventListener('open', () => onState(true));
  source.addEventListener('error', () => onState(false));
}
