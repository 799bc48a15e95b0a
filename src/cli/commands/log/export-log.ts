/** `log PLAN --export FILE`: the archive's records for other tools. No controller is asked. */

import { EXPORT_FORMATS, exportRecords, formatOf } from '../../../archive/export.ts';
import { withArchive } from '../../../archive/open.ts';
import { usage } from '../../../failure.ts';
import { checkOutputs } from '../../../files/outputs.ts';
import { archiveToRead } from '../../../jobs/archive.ts';
import { list } from '../../../words/lists.ts';
import { say, sayJson } from '../../terminal.ts';

/** Writes the archive of a plan (or the one named) to a file. */
export async function exportLog(
  path: string | undefined,
  target: string,
  options: { readonly archive?: string; readonly force?: boolean; readonly json?: boolean },
): Promise<void> {
  const place = path === undefined ? options.archive : (await archiveToRead(path, options)).place;
  if (place === undefined) throw usage('No archive is named.', 'Name the plan, or add --archive FILE.');
  const format = formatOf(target);
  if (!format) {
    const endings = list(EXPORT_FORMATS.map((one) => `.${one}`));
    throw usage(`The name ${target} does not tell the format.`, `End it in one of ${endings}.`);
  }
  checkOutputs({ write: [target], read: [path, place], force: options.force });
  const count = await withArchive(place, Date.now(), (archive) => exportRecords(archive, format, target));
  if (options.json) sayJson({ file: target, format, records: count });
  else say(`Wrote ${count === 1 ? '1 record' : `${count} records`} to ${target}.`);
}
