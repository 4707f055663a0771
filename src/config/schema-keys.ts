import { z } from 'zod';
import type { Path } from './problem.ts';
import { fileSchema } from './schema.ts';

/** The part of JSON Schema that our schema comes out as. */
export interface JsonSchema {
  readonly type?: string;
  readonly properties?: Readonly<Record<string, JsonSchema>>;
  readonly additionalProperties?: boolean | JsonSchema;
  readonly items?: JsonSchema;
  readonly oneOf?: readonly JsonSchema[];
  readonly anyOf?: readonly JsonSchema[];
  readonly propertyNames?: JsonSchema;
  readonly required?: readonly string[];
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly default?: unknown;
  readonly description?: string;
  readonly pattern?: string;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly exclusiveMaximum?: number;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly minItems?: number;
}

/** The file's schema as JSON Schema, of the draft that YAML editors read: draft 7. */
export function jsonSchema(): JsonSchema {
  return z.toJSONSchema(fileSchema, { io: 'input', target: 'draft-7' }) as JsonSchema;
}

let remembered: JsonSchema | undefined;

/** The keys that the schema has in the map at `path` of `value`. */
export function keysAt(value: unknown, path: Path): string[] {
  remembered ??= jsonSchema();
  let schema: JsonSchema | undefined = choose(remembered, value);
  let here = value;
  for (const step of path) {
    here = part(here, step);
    const next: JsonSchema | undefined =
      typeof step === 'number'
        ? schema?.items
        : (schema?.properties?.[step] ?? otherProperties(schema));
    schema = next === undefined ? undefined : choose(next, here);
  }
  return Object.keys(schema?.properties ?? {});
}

function otherProperties(schema: JsonSchema | undefined): JsonSchema | undefined {
  return typeof schema?.additionalProperties === 'object' ? schema.additionalProperties : undefined;
}

function part(value: unknown, step: string | number): unknown {
  return typeof value === 'object' && value !== null
    ? (value as Record<string | number, unknown>)[step]
    : undefined;
}

/** Of a union the member whose fixed words are those of the value. */
function choose(schema: JsonSchema, value: unknown): JsonSchema {
  const member = schema.oneOf?.find((option) =>
    Object.entries(option.properties ?? {}).every(
      ([key, { const: word }]) => word === undefined || part(value, key) === word,
    ),
  );
  return member ?? schema;
}
