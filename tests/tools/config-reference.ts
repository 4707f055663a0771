import { z } from 'zod';
import { type JsonSchema, jsonSchema } from '../../src/config/schema-keys.ts';
import { id, localDate, wallTime } from '../../src/units/config.ts';

/** config/ampulla.schema.json: what editors check and complete YAML by. */
export function schemaText(): string {
  return `${JSON.stringify({ title: 'The configuration of ampulla', ...jsonSchema() }, null, 2)}\n`;
}

/** docs/configuration.md: every key of the file, made from the same schema. */
export function referenceText(): string {
  const schema = jsonSchema();
  const sections = Object.entries(schema.properties ?? {});
  return [
    '# The configuration file',
    '',
    'One YAML file (YAML 1.2, no merge keys, at most 1 MiB). Unknown keys are refused, and all',
    'mistakes are told at once: `ampulla check FILE`. Any text may hold `${env:NAME}` or',
    '`${file:PATH}`: the environment variable, or the text of a file (beside the configuration unless',
    'the path is absolute) without its last newline. What is put in is a secret and never shown;',
    '`$${` writes a plain `${`.',
    '',
    'ID stands for an id of your own (lowercase letters, digits and single hyphens), [N] for every',
    'entry of a list; required means: where the map around it is given. Error codes are explained in',
    '[errors.md](errors.md). Worked examples: `config/starter.yaml` and `config/fish-room.yaml`. This',
    'page is written from the schema by `node --import tsx tests/tools/write-docs.ts`.',
    ...sections.flatMap(([key, section]) => [
      '',
      `## ${key}`,
      '',
      section.description ?? entrySchema(section)?.description ?? '',
      '',
      '| key | value | default | meaning |',
      '| --- | --- | --- | --- |',
      ...rowsOf(key, section, isRequired(schema, key)).map(tableRow),
    ]),
    '',
  ].join('\n');
}

export interface Row {
  readonly key: string;
  /** The words of the union members that have this key, where not all have it. */
  readonly only: readonly string[];
  readonly value: string;
  readonly fallback: string;
  readonly meaning: string;
}

/** All keys below `key`, in file order. A map whose parts are told is not told itself. */
export function rowsOf(key: string, schema: JsonSchema, required: boolean): Row[] {
  if (schema.oneOf !== undefined) return unionRows(key, schema, schema.oneOf);
  if (schema.properties !== undefined) {
    return Object.entries(schema.properties).flatMap(([part, inner]) =>
      rowsOf(`${key}.${part}`, inner, isRequired(schema, part)),
    );
  }
  const entry = schema.items ?? entrySchema(schema);
  if (entry !== undefined && (entry.properties ?? entry.oneOf) !== undefined) {
    return rowsOf(`${key}${schema.items === undefined ? '.ID' : '[N]'}`, entry, true);
  }
  const fallback = schema.default === undefined ? '' : code(schema.default);
  return [
    {
      key,
      only: [],
      value: valueWords(schema),
      fallback: required && fallback === '' ? 'required' : fallback,
      meaning: schema.description ?? '',
    },
  ];
}

/** The deciding key first, then what the members have; what several have alike is told once. */
function unionRows(key: string, union: JsonSchema, members: readonly JsonSchema[]): Row[] {
  const words = members.map((member) => deciderOf(member)?.word ?? '');
  const decider = deciderOf(members[0] ?? {})?.key ?? '';
  const merged = new Map<string, Row>();
  members.forEach((member, index) => {
    for (const [part, inner] of Object.entries(member.properties ?? {})) {
      if (part === decider) continue;
      for (const row of rowsOf(`${key}.${part}`, inner, isRequired(member, part))) {
        const alike = JSON.stringify(row);
        const only = [...(merged.get(alike)?.only ?? []), words[index] ?? ''];
        merged.set(alike, { ...row, only });
      }
    }
  });
  const rows = [...merged.values()].map((row) =>
    row.only.length === members.length ? { ...row, only: [] } : row,
  );
  return [
    {
      key: `${key}.${decider}`,
      only: [],
      value: words.map(code).join(' '),
      fallback: defaultWord(union, decider) ?? 'required',
      meaning: 'Decides which other keys there are.',
    },
    ...rows,
  ];
}

function defaultWord({ default: fallback }: JsonSchema, decider: string): string | undefined {
  if (typeof fallback !== 'object' || fallback === null) return undefined;
  return code((fallback as Record<string, unknown>)[decider]);
}

function deciderOf(member: JsonSchema): { key: string; word: string } | undefined {
  const found = Object.entries(member.properties ?? {}).find(
    ([, { const: word }]) => word !== undefined,
  );
  return found === undefined ? undefined : { key: found[0], word: String(found[1].const) };
}

const entrySchema = ({ additionalProperties: entry }: JsonSchema): JsonSchema | undefined =>
  typeof entry === 'object' ? entry : undefined;

const isRequired = (schema: JsonSchema, key: string): boolean =>
  schema.required?.includes(key) === true;

const patternOf = (schema: z.ZodType): string =>
  (z.toJSONSchema(schema, { target: 'draft-7' }) as JsonSchema).pattern ?? '';

/** Patterns with a name; what the others allow, their description says. */
const NAMED: ReadonlyMap<string, string> = new Map([
  [patternOf(id), 'id'],
  [patternOf(localDate), 'date'],
  [patternOf(wallTime), 'time of day'],
]);

function valueWords(schema: JsonSchema): string {
  if (schema.enum !== undefined) return schema.enum.map(code).join(' ');
  if (schema.anyOf !== undefined) return schema.anyOf.map(valueWords).join(' or ');
  if (schema.items !== undefined) return `list: ${valueWords(schema.items)}`;
  const entry = entrySchema(schema);
  if (entry !== undefined) return `map: ${valueWords(entry)}`;
  if (schema.type === 'boolean') return '`true` `false`';
  if (schema.type === 'string') {
    const name = NAMED.get(schema.pattern ?? '');
    if (name !== undefined) return name;
    return schema.maxLength === undefined ? 'text' : `text, up to ${schema.maxLength} characters`;
  }
  const limits = limitsOf(schema);
  return `${schema.type === 'integer' ? 'whole number' : 'number'}${limits === '' ? '' : ` ${limits}`}`;
}

function limitsOf({ minimum, maximum, exclusiveMinimum, exclusiveMaximum }: JsonSchema): string {
  const least = exclusiveMinimum === undefined ? minimum : exclusiveMinimum;
  const most = exclusiveMaximum === undefined ? maximum : exclusiveMaximum;
  const above = exclusiveMinimum === undefined ? '≥' : '>';
  const below = exclusiveMaximum === undefined ? '≤' : '<';
  return [
    ...(least === undefined ? [] : [`${above} ${least}`]),
    ...(most === undefined ? [] : [`${below} ${most}`]),
  ].join(', ');
}

const code = (value: unknown): string =>
  `\`${typeof value === 'string' ? value : JSON.stringify(value)}\``;

function tableRow({ key, only, value, fallback, meaning }: Row): string {
  const place = `\`${key}\`${only.length === 0 ? '' : ` (${only.join(', ')})`}`;
  const cells = [place, value, fallback, meaning];
  return `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`;
}
