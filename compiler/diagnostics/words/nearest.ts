/**
 * The nearest word, for suggestions; the finding itself carries only facts.
 */

import { closest } from '../../plan/names.ts';

export { closest as closestWord };
