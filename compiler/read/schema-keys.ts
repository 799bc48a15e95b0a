/**
 * Which keys the schema knows at a place in the plan, for "did you mean".
 */

import type * as z from 'zod';
import { planSchema } from './schema.ts';

/** The keys allowed in the map at `path`. */
export function keysAt(path: readonly PropertyKey[]): readonly string[] {
  let types: readonly z.core.$ZodType[] = [planSchema];
  for (const step of path) types = types.flatMap((type) => stepInto(type, step));
  return types.flatMap(unwrapped).flatMap(ownKeys);
}

type Def = z.core.$ZodTypes['_zod']['def'];

function defOf(type: z.core.$ZodType): Def {
  return (type as z.core.$ZodTypes)._zod.def;
}

/** Without `optional` around it, and a union as its branches. */
function unwrapped(type: z.core.$ZodType): readonly z.core.$ZodType[] {
  const def = defOf(type);
  if (def.type === 'optional') return unwrapped(def.innerType);
  if (def.type === 'union') return def.options.flatMap(unwrapped);
  return [type];
}

function ownKeys(type: z.core.$ZodType): readonly string[] {
  const def = defOf(type);
  return def.type === 'object' ? Object.keys(def.shape) : [];
}

function stepInto(type: z.core.$ZodType, step: PropertyKey): readonly z.core.$ZodType[] {
  return unwrapped(type).flatMap((inner) => {
    const def = defOf(inner);
    if (def.type === 'object') {
      const next = def.shape[String(step)];
      return next ? [next] : [];
    }
    if (def.type === 'record') return [def.valueType];
    if (def.type === 'array') return [def.element];
    if (def.type === 'tuple') return def.items.slice(Number(step), Number(step) + 1);
    return [];
  });
}
