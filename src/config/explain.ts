import type { z } from 'zod';
import { nearest } from './nearest.ts';
import type { Finding, Path, ProblemCode } from './problem.ts';
import type { Located } from './yaml-tree.ts';

export type Issue = z.core.$ZodIssue;

/**
 * What zod found, in plain words. An unknown key becomes a finding of its own; everything else is
 * one finding.
 *
 * @param written what the file has at the issue's path
 * @param known the keys that the schema has in the map at a path, for 'did you mean'
 */
export function explain(
  issue: Issue,
  written: Located | undefined,
  known: (path: Path) => string[],
): Finding[] {
  const path = issue.path as Path;
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) => unknownKey([...path, key], key, known(path)));
  }
  if (issue.code === 'invalid_key') {
    const allowed = `an id: ${issue.issues[0]?.message ?? 'another key'}`;
    const key = String(path.at(-1));
    const remedy = idLike(key);
    return [
      {
        code: 'AMP_CONFIG_ID',
        path,
        at: 'key',
        found: `the key ${JSON.stringify(key)}`,
        allowed,
        ...(remedy === undefined ? {} : { remedy: `write ${remedy}` }),
      },
    ];
  }
  const { code, allowed, remedy } = wrongValue(issue, written?.scalar);
  if (written === undefined) {
    return [{ code: 'AMP_CONFIG_MISSING', path, allowed, remedy: `add the key ${path.at(-1)}` }];
  }
  return [{ code, path, allowed, ...(remedy === undefined ? {} : { remedy }) }];
}

function unknownKey(path: Path, key: string, known: string[]): Finding {
  const near = nearest(key, known);
  return {
    code: 'AMP_CONFIG_UNKNOWN_KEY',
    path,
    at: 'key',
    found: `the unknown key ${JSON.stringify(key)}`,
    allowed: `${known.length === 0 ? 'none' : known.join(', ')}`,
    ...(near === undefined ? {} : { remedy: `did you mean ${near}?` }),
  };
}

function idLike(key: string): string | undefined {
  const id = key
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
  return id === '' || id === key ? undefined : id.slice(0, 64);
}

const EXPECTED: Readonly<Record<string, string>> = {
  string: 'text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  object: 'a map',
  record: 'a map',
  array: 'a list',
};

interface Words {
  readonly code: ProblemCode;
  readonly allowed: string;
  readonly remedy?: string;
}

function wrongValue(issue: Issue, written: Located['scalar']): Words {
  switch (issue.code) {
    case 'invalid_type':
      return {
        code: 'AMP_CONFIG_TYPE',
        allowed: EXPECTED[issue.expected] ?? issue.expected,
        ...quoteAdvice(issue.expected, written),
      };
    case 'invalid_value':
      return oneOf(issue.values.map(String), written);
    case 'invalid_union': {
      const options = optionsOf(issue);
      // Of members that no word decides between, the schema itself says what they are.
      if (options.length === 0) return { code: 'AMP_CONFIG_FORMAT', allowed: issue.message };
      return oneOf(options, written);
    }
    case 'invalid_format':
      return { code: 'AMP_CONFIG_FORMAT', allowed: issue.message };
    case 'too_small':
      return {
        code: 'AMP_CONFIG_RANGE',
        allowed: `${issue.inclusive ? 'at least' : 'more than'} ${amount(issue.minimum, issue.origin)}`,
      };
    case 'too_big':
      return {
        code: 'AMP_CONFIG_RANGE',
        allowed: `${issue.inclusive ? 'at most' : 'less than'} ${amount(issue.maximum, issue.origin)}`,
      };
    case 'not_multiple_of':
      return { code: 'AMP_CONFIG_RANGE', allowed: `a multiple of ${issue.divisor}` };
    default:
      return { code: 'AMP_CONFIG_FORMAT', allowed: issue.message };
  }
}

function quoteAdvice(expected: string, written: Located['scalar']): { remedy?: string } {
  if (expected === 'string' && typeof written === 'number') {
    return { remedy: 'put it in quotes to make it text' };
  }
  const quoted = typeof written === 'string' && /^(-?[\d.]+|true|false)$/.test(written);
  return quoted && expected !== 'string' ? { remedy: 'take the quotes away' } : {};
}

/** The words that decide between the members of a union, such as the kinds of a broker. */
export function optionsOf(issue: Issue): string[] {
  return 'options' in issue && Array.isArray(issue.options) ? issue.options.map(String) : [];
}

function oneOf(options: string[], written: Located['scalar']): Words {
  const near = typeof written === 'string' ? nearest(written, options) : undefined;
  return {
    code: 'AMP_CONFIG_CHOICE',
    allowed: options.length === 1 ? `${options[0]}` : `one of ${options.join(', ')}`,
    ...(near === undefined ? {} : { remedy: `did you mean ${near}?` }),
  };
}

function amount(limit: number | bigint, origin: string): string {
  const one = limit === 1 || limit === 1n;
  if (origin === 'string') return `${limit} character${one ? '' : 's'}`;
  if (origin === 'array') return one ? '1 entry' : `${limit} entries`;
  return String(limit);
}
