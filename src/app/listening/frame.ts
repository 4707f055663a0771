import type { LinkTarget } from '../../mqtt/index.ts';

/** The room in which new probes are put until the keeper says better. */
export const FIRST_ROOM = 'fish-room';

/**
 * What a sketch needs around it to be a whole configuration: it passes `check` as it stands, with
 * warnings for what only the keeper can tell.
 */
export function frameFor(
  broker: LinkTarget,
  passwordFile: string | undefined,
  zone: string,
): string {
  const { url, user, ca_file } = broker;
  const lines = [
    '# Yours to fill in from top to bottom; config/fish-room.yaml shows how it may look, and',
    '# docs/configuration.md explains every key.',
    'site:',
    '  id: home',
    `  time_zone: ${zone}`,
    '  currency: USD # of your bill, ISO 4217',
    'broker:',
    '  kind: external',
    `  url: ${JSON.stringify(url)}`,
    ...(user === undefined ? [] : [`  user: ${JSON.stringify(user)}`]),
    ...(passwordFile === undefined
      ? []
      : [`  password: ${JSON.stringify(`\${file:${passwordFile}}`)}`]),
    ...(ca_file === undefined ? [] : [`  ca_file: ${JSON.stringify(ca_file)}`]),
    'rooms:',
    `  ${FIRST_ROOM}: {}`,
    '# discus: { room: fish-room, volume_l: 200, keep_c: { min: 27, max: 31 }, set_c: 29 }',
    'tanks: {}',
    '# discus-heater: { kind: heater, nameplate_w: 200, plug: ID, tank: discus }',
    'devices: {}',
    "# now: { valid_from: '2026-01-01', energy: { kind: flat, price_per_kwh: 0.15 } }",
    'tariffs: {}',
  ];
  return `${lines.join('\n')}\n`;
}
