import { besideConfig, readText } from './files.ts';
import type { Finding, Path } from './problem.ts';

/** Where `${env:NAME}` takes its values from; `process.env` has this shape. */
export type Environment = Readonly<Record<string, string | undefined>>;

/** Replaces the references in one text of the file. */
export type Resolver = (
  text: string,
) =>
  | { readonly text: string; readonly secret: boolean }
  | { readonly trouble: Omit<Finding, 'path'> };

/** What is shown in place of a secret. */
export const CONCEALED = '(secret)';

const SECRET_FILE_LIMIT = 64 * 1024;
const REFERENCE = /\$(\$?)\{([^}]*)\}/g;

/**
 * `${env:NAME}` is the environment variable, `${file:PATH}` the text of a file beside the
 * configuration, without its trailing newline; `$${` writes a plain `${`. What was put in for a
 * reference is a secret: it is never shown, not even when it is wrong.
 */
export function createResolver(configFile: string, env: Environment): Resolver {
  return (text) => {
    let secret = false;
    let trouble: Omit<Finding, 'path'> | undefined;
    const resolved = text.replace(REFERENCE, (whole, escaped: string, inside: string) => {
      if (escaped !== '') return whole.slice(1);
      const outcome = lookUp(inside, configFile, env);
      if (typeof outcome === 'string') {
        secret = true;
        return outcome;
      }
      trouble ??= outcome;
      return '';
    });
    return trouble === undefined ? { text: resolved, secret } : { trouble };
  };
}

function lookUp(
  inside: string,
  configFile: string,
  env: Environment,
): string | Omit<Finding, 'path'> {
  const colon = inside.indexOf(':');
  const source = colon < 0 ? '' : inside.slice(0, colon);
  const name = inside.slice(colon + 1);
  if (source === 'env' && name !== '') {
    const value = Object.hasOwn(env, name) ? env[name] : undefined;
    if (value !== undefined && value !== '') return value;
    return {
      code: 'AMP_CONFIG_SECRET',
      found: `no environment variable ${name}, or an empty one`,
      allowed: 'a variable that is set',
      remedy: `set ${name} for the daemon, or keep the secret in a file and write \${file:PATH}`,
    };
  }
  if (source === 'file' && name !== '') {
    const read = readText(besideConfig(configFile, name), SECRET_FILE_LIMIT);
    const value = 'text' in read ? read.text.replace(/\r?\n$/, '') : '';
    if (value !== '') return value;
    return {
      code: 'AMP_CONFIG_SECRET',
      found: `${'trouble' in read ? read.trouble : 'an empty file'} at ${name}`,
      allowed: 'a readable file that holds the secret and nothing else',
      remedy: 'relative paths start at the folder of the configuration file',
    };
  }
  return {
    code: 'AMP_CONFIG_SECRET',
    found: `the reference \${${inside}}`,
    allowed: '${env:NAME} or ${file:PATH}',
    remedy: 'to mean these characters themselves, write $${',
  };
}

/** Secret by what it is for, even when it stands in the file itself. */
export function isSecretByNature(path: Path): boolean {
  if (path[0] === 'broker') return path.length === 2 && path[1] === 'password';
  if (path[0] !== 'notify') return false;
  if (path[1] === 'mail') return path.length === 4 && path[3] === 'password';
  return path[1] === 'webhooks' && path[3] === 'headers' && path.length > 4;
}

/** Takes user and password out of anything that looks like an address. */
export const withoutUserinfo = (text: string): string =>
  text.replace(/\/\/[^/?#\s]*@/g, `//${CONCEALED}@`);

const remembered = new WeakMap<object, readonly Path[]>();

/** Remembers with a configuration where its secrets are, so that nobody can show it without. */
export function rememberSecrets(config: object, secrets: readonly Path[]): void {
  remembered.set(config, secrets);
}

export const secretsOf = (config: object): readonly Path[] => remembered.get(config) ?? [];

/**
 * A copy of `value` in which every secret reads `(secret)`: those at the given paths, those that
 * are secret by nature, and users and passwords in addresses.
 */
export function conceal<T>(value: T, secrets: readonly Path[]): T {
  const hidden = new Set(secrets.map((path) => JSON.stringify(path)));
  const copy = (part: unknown, path: Path): unknown => {
    if (typeof part === 'string') {
      if (hidden.has(JSON.stringify(path)) || isSecretByNature(path)) return CONCEALED;
      return withoutUserinfo(part);
    }
    if (Array.isArray(part)) return part.map((entry, index) => copy(entry, [...path, index]));
    if (typeof part !== 'object' || part === null) return part;
    return Object.fromEntries(
      Object.entries(part).map(([key, entry]) => [key, copy(entry, [...path, key])]),
    );
  };
  return copy(value, []) as T;
}
