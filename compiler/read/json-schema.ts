/**
 * The plan's shape as JSON Schema, for editors: `shared/plan.schema.json`.
 *
 * Always holds: made from the same zod schema that plans are held against; an
 * entry that says `like` need not repeat what the other one has.
 */

import * as z from 'zod';
import { planSchema } from './schema.ts';

/** The JSON Schema (draft 7) of a plan. */
export function planJsonSchema(): Record<string, unknown> {
  const schema = z.toJSONSchema(planSchema, {
    target: 'draft-7',
    override: ({ jsonSchema }) => letLikeStandIn(jsonSchema),
  });
  return { title: 'A shelf light plan', ...schema };
}

function letLikeStandIn(schema: z.core.JSONSchema.BaseSchema): void {
  if (!schema.properties?.like || !schema.required) return;
  schema.anyOf = [{ required: ['like'] }, { required: schema.required }];
  delete schema.required;
}
