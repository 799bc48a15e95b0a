/** The findings of one code, with its own facts. */

import type { Code } from '../../compiler/findings/codes.ts';
import type { Finding } from '../../compiler/findings/finding.ts';

export const ofCode = <C extends Code>(
  findings: readonly Finding[],
  code: C,
): Extract<Finding, { code: C }>[] =>
  findings.filter((one): one is Extract<Finding, { code: C }> => one.code === code);
