/** A part of the page whose code is fetched when it is shown first. */

import { useSignal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { useEffect } from 'preact/hooks';

type State<P> = { readonly Part: ComponentType<P> } | { readonly fault: true } | undefined;

/** Shows what `load` brings, with the properties `given`. */
export function Fetched<P extends object>({
  load,
  given,
}: {
  load: () => Promise<ComponentType<P>>;
  given: P;
}) {
  const state = useSignal<State<P>>(undefined);
  const begin = (): void => {
    state.value = undefined;
    load().then(
      (Part) => {
        state.value = { Part };
      },
      () => {
        state.value = { fault: true };
      },
    );
  };
  useEffect(begin, [load]);
  const now = state.value;
  if (now === undefined) return <p class="soft">Being fetched …</p>;
  if ('Part' in now) return <now.Part {...given} />;
  return (
    <div role="alert">
      <p class="ill">
        This could not be fetched. If the desk was started anew since, load the page again; what you typed is
        kept.
      </p>
      <button type="button" onClick={begin}>
        Try again
      </button>
    </div>
  );
}
