import type { LocalDate } from '../units/index.ts';
import type { Config } from './schema.ts';
import { conceal, secretsOf } from './secrets.ts';

type Device = Config['devices'][string];
type Tariff = Config['tariffs'][string];

/**
 * What would run, for a keeper at a terminal. Secrets are not shown, of addresses only the host.
 *
 * @param on the local day for which to say which tariff is in force
 */
export function describeConfig(config: Config, on?: LocalDate): string {
  const shown = conceal(config, secretsOf(config));
  const devices = placedDevices(shown, on, 'in use');
  const blocks = [
    summary(shown),
    ...Object.keys(shown.tanks).map((tank) => tankLines(shown, tank, devices)),
    titled('no single tank', deviceLines(devices.filter(isShared))),
    titled('no longer in use', deviceLines(placedDevices(shown, on, 'ended'))),
    titled('feeds', feedLines(shown)),
    titled('tariffs', tariffLines(shown, on)),
    titled('alerts', alertLines(shown)),
  ];
  return blocks
    .filter((lines) => lines.length > 0)
    .map((lines) => lines.map(printable).join('\n'))
    .join('\n\n');
}

function summary(config: Config): string[] {
  const { site, broker, store, web } = config;
  const devices = Object.values(config.devices);
  const reckoned = devices.filter(({ plug }) => plug === undefined).length;
  return table([
    ['site', `${named(site.id, site.name)}, ${site.time_zone}, ${site.currency}, ${site.locale}`],
    [
      'broker',
      broker.kind === 'embedded'
        ? `inside the daemon, 127.0.0.1:${broker.port}`
        : `${broker.url}${broker.user === undefined ? '' : ` as ${broker.user}`}`,
    ],
    ['books', `${store.file}, committed at most ${store.group_time_s} s after a reading`],
    ['page', web.enabled ? `http://127.0.0.1:${web.port}/` : 'off'],
    [
      'counts',
      [
        count(config.rooms, 'room'),
        count(config.tanks, 'tank'),
        `${devices.length} device${devices.length === 1 ? '' : 's'} (${reckoned} reckoned)`,
        count(config.plugs, 'plug'),
        count(config.probes, 'probe'),
        count(config.feeds, 'feed'),
      ].join(', '),
    ],
  ]);
}

function tankLines(config: Config, id: string, devices: readonly PlacedDevice[]): string[] {
  const tank = config.tanks[id];
  if (tank === undefined) return [];
  const probes = Object.entries(config.probes).flatMap(([probe, at]) =>
    at.tank === id ? [probe] : [],
  );
  const kept = `kept at ${tank.keep_c.min} to ${tank.keep_c.max} °C`;
  const measured = probes.length === 0 ? 'no probe' : `probe ${probes.join(', ')}`;
  const own = devices.filter((device) => device.belonging.tank === id);
  return [
    `${named(id, tank.name)} in ${tank.room}, ${kept}, ${measured}`,
    ...(own.length === 0 ? ['  no device of its own'] : deviceLines(own)),
  ];
}

type Belonging = Pick<Device, 'tank' | 'shares' | 'divided'>;

/** A device, whose it is on the day told, and where it goes next. */
interface PlacedDevice {
  readonly id: string;
  readonly device: Device;
  readonly belonging: Belonging;
  readonly next: string | undefined;
}

/** Without a day: after all that the devices name. */
function placedDevices(
  config: Config,
  on: LocalDate | undefined,
  which: 'in use' | 'ended',
): PlacedDevice[] {
  return Object.entries(config.devices).flatMap(([id, device]) => {
    const { until, moved = [] } = device;
    const ended = until !== undefined && (on === undefined || until < on);
    if (ended !== (which === 'ended')) return [];
    const before = (move: { readonly on: string }): boolean => on === undefined || move.on <= on;
    const belonging = moved.findLast(before) ?? device;
    return [{ id, device, belonging, next: moved.find((move) => !before(move))?.on }];
  });
}

const isShared = ({ belonging: { tank } }: PlacedDevice): boolean =>
  tank === undefined || tank === 'upkeep';

function deviceLines(devices: readonly PlacedDevice[]): string[] {
  return indented(
    table(
      devices.map(({ id, device: { kind, nameplate_w: watts, plug, until }, belonging, next }) => [
        id,
        kind,
        `${watts} W`,
        plug === undefined ? 'reckoned' : `plug ${plug}`,
        [
          ...holders(belonging),
          ...(next === undefined ? [] : [`moves on ${next}`]),
          ...(until === undefined ? [] : [`until ${until}`]),
        ].join(', '),
      ]),
    ),
  );
}

/** Of a device with a tank of its own nothing: it stands below it. */
function holders({ tank, shares, divided }: Belonging): string[] {
  if (shares !== undefined) return [parts(shares)];
  switch (divided?.by) {
    case undefined:
      return tank === 'upkeep' ? [tank] : [];
    case 'equal':
      return [`equally ${divided.among.join(', ')}`];
    case 'volume':
      return [`by volume ${divided.among.join(', ')}`];
    case 'outlets': {
      const outlets = Object.entries(divided.outlets).map(([id, count]) => `${id} ${count}`);
      return [`by outlets ${outlets.join(', ')}`];
    }
    case 'heat-need':
      return [`by heat need ${divided.among.join(', ')}`];
  }
}

const parts = (shares: Readonly<Record<string, number>>): string =>
  Object.entries(shares)
    .map(([tank, share]) => `${tank} ${Number((share * 100).toFixed(2))} %`)
    .join(', ');

function feedLines(config: Config): string[] {
  return indented(
    table(
      Object.entries(config.feeds).map(([id, { topic, values }]) => {
        const measures = [...new Set(values.map(({ measure }) => measure))].join(', ');
        return [id, topic, measures];
      }),
    ),
  );
}

function tariffLines(config: Config, on: LocalDate | undefined): string[] {
  const tariffs = Object.entries(config.tariffs).sort(([, a], [, b]) =>
    a.valid_from.localeCompare(b.valid_from),
  );
  const current = tariffs.findLast(([, { valid_from: from }]) => on !== undefined && from <= on);
  const none = on !== undefined && current === undefined ? [`  none in force on ${on}`] : [];
  return [
    ...indented(
      table(
        tariffs.map(([id, tariff]) => [
          `from ${tariff.valid_from}`,
          named(id, tariff.name),
          prices(tariff, config.site.currency),
          id === current?.[0] ? `in force on ${on}` : '',
        ]),
      ),
    ),
    ...none,
  ];
}

function prices({ energy, charges }: Tariff, currency: string): string {
  const more = charges.length === 0 ? '' : `, before ${count(charges, 'charge')}`;
  if (energy.kind === 'slot-prices') return `slot prices of ${energy.series}${more}`;
  const rates =
    energy.kind === 'flat'
      ? [priceWords(energy)]
      : Object.entries(energy.rates).map(([id, rate]) => `${id} ${priceWords(rate)}`);
  return `${rates.join(', ')} ${currency}/kWh${more}`;
}

/** One price, or that of each block. */
const priceWords = (pricing: {
  readonly price_per_kwh?: number | undefined;
  readonly prices_per_kwh?: readonly number[] | undefined;
}): string => pricing.prices_per_kwh?.join(' then ') ?? `${pricing.price_per_kwh}`;

function alertLines({ notify, publish, site }: Config): string[] {
  const root = publish.root ?? `ampulla/${site.id}`;
  const channels = [
    ...(notify.mqtt.enabled ? [`MQTT, retained, below ${root}`] : []),
    ...Object.entries(notify.mail).map(([id, mail]) => `mail ${id}, to ${mail.to.join(', ')}`),
    ...Object.entries(notify.webhooks).map(([id, { url }]) => `webhook ${id}, ${host(url)}`),
  ];
  return indented(channels.length === 0 ? ['nowhere but on the page'] : channels);
}

/** The rest of an address often is the key to it. */
const host = (url: string): string => (URL.canParse(url) ? new URL(url).origin : url);

const named = (id: string, name: string | undefined): string =>
  name === undefined ? id : `${id} (${name})`;

const count = (record: object, one: string): string => {
  const size = Object.keys(record).length;
  return `${size} ${one}${size === 1 ? '' : 's'}`;
};

const titled = (title: string, lines: string[]): string[] =>
  lines.length === 0 ? [] : [title, ...lines];

const indented = (lines: string[]): string[] => lines.map((line) => `  ${line}`);

/** Columns as wide as their widest cell. */
function table(rows: string[][]): string[] {
  const widths = (rows[0] ?? []).map((_, column) =>
    Math.max(...rows.map((row) => [...(row[column] ?? '')].length)),
  );
  return rows.map((row) =>
    row
      .map((cell, column) => cell + ' '.repeat((widths[column] ?? 0) - [...cell].length))
      .join('  ')
      .trimEnd(),
  );
}

/** A name may hold what a terminal would obey. */
const printable = (line: string): string => line.replace(/\p{Cc}/gu, '\uFFFD');
