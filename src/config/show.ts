import { stringify } from 'yaml';
import type { Config } from './schema.ts';
import { conceal, secretsOf } from './secrets.ts';

/** The whole configuration as YAML, defaults included; every secret reads `(secret)`. */
export function showConfig(config: Config): string {
  return stringify(conceal(config, secretsOf(config)), {
    lineWidth: 0,
    aliasDuplicateObjects: false,
  });
}
