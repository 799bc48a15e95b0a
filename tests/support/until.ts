/** Waiting for something outside the test without judging how long it takes. */

const PAUSE_MS = 100;

/** Waits until `holds` says so; what never comes is ended by the time limit of the test's kind. */
export async function until(holds: () => boolean | Promise<boolean>): Promise<void> {
  while (!(await holds())) await new Promise((resolve) => setTimeout(resolve, PAUSE_MS));
}
