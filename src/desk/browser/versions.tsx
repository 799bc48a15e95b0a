/** The file was changed underneath: both versions, and which is to stay. */

import { useEffect, useRef } from 'preact/hooks';
import { textNow } from './editor.ts';
import type { PlanText } from './plan-text.ts';

export function Versions({ plan }: { plan: PlanText }) {
  const dialog = useRef<HTMLDialogElement>(null);
  const other = plan.other.value;
  if (!other) return null;
  return (
    <div class="notice" role="alert">
      <p>
        {plan.name} was changed in the file while other text is here. Nothing is written until you choose.
      </p>
      <p class="acts">
        <button type="button" onClick={() => dialog.current?.showModal()}>
          Look at both
        </button>
      </p>
      <dialog ref={dialog} class="versions" aria-label="Both versions">
        <Both mine={textNow()} file={other.text} />
        <p class="acts">
          <button
            type="button"
            onClick={() => {
              dialog.current?.close();
              void plan.keepOwn();
            }}
          >
            Write mine over the file
          </button>
          <button
            type="button"
            onClick={() => {
              dialog.current?.close();
              plan.takeOther();
            }}
          >
            Take the file's
          </button>
          <button type="button" class="quiet" onClick={() => dialog.current?.close()}>
            Later
          </button>
        </p>
      </dialog>
    </div>
  );
}

/** Both texts side by side, what differs marked. */
function Both({ mine, file }: { mine: string; file: string }) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => {
    let view: { destroy(): void } | undefined;
    void import('./merge-view.ts').then(({ openMerge }) => {
      if (place.current) view = openMerge(place.current, file, mine);
    });
    return () => view?.destroy();
  }, [mine, file]);
  return (
    <>
      <p class="heads" aria-hidden="true">
        <span>In the file</span>
        <span>Here</span>
      </p>
      <div ref={place} class="merge" />
    </>
  );
}
