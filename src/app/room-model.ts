import { type Alert, alertText, type Tending, type Writer } from '../alerts/index.ts';
import { type Account, type AccountBook, type Figures, missing } from '../books/index.ts';
import { sharesIn } from '../shares/index.ts';
import type { Instant, MicroUnits, Millis, MilliwattHours } from '../units/index.ts';
import type { DeviceView, RoomView, SpanSums, Sum, TankView } from '../web/index.ts';
import type { House } from './house.ts';
import type { Latest } from './latest.ts';
import { nextMorning } from './morning.ts';
import type { NightLane } from './night-lane.ts';
import type { NightAhead } from './nights/tonight.ts';
import type { RateNow } from './rate-now.ts';

export interface RoomModelInput {
  readonly house: House;
  readonly books: AccountBook;
  readonly rate: RateNow | undefined;
  readonly repricing: number | undefined;
  readonly latest: Latest;
  readonly alerts: readonly Alert[];
  readonly snoozes: ReadonlyMap<string, Instant>;
  readonly tendings: readonly Tending[];
  readonly tonight: NightLane['tonight'];
  readonly writer: Writer;
  readonly now: Instant;
  readonly broker: RoomView['broker'];
  readonly lastReading: Instant | undefined;
  readonly filling: RoomView['filling'];
}

/** Draws the room as it stands: accounts of today, this week and this month, up to now. */
export function roomView(input: RoomModelInput): RoomView {
  const { house, books, now, latest } = input;
  const { config, calendar } = house;
  const accounts: Accounts = {
    today: books.account(calendar.day(now), now),
    week: books.account(calendar.week(now), now),
    month: books.account(calendar.month(now), now),
  };
  return {
    site: {
      name: config.site.name ?? config.site.id,
      locale: config.site.locale,
      currency: config.site.currency,
      zone: config.site.time_zone,
    },
    now,
    broker: input.broker,
    lastReading: input.lastReading,
    filling: input.filling,
    repricing: input.repricing,
    rate: input.rate,
    standing: accounts.month.standing,
    otherwise: otherwise(input),
    tonight: tonightOfAll(input.tonight),
    // For the whole it does not matter how what was measured together is divided.
    totals: sums(accounts, ({ site }) => ({ ...site, divided: 0 as MilliwattHours })),
    alerts: input.alerts.map((alert) => ({
      id: alert.id,
      state: alert.state,
      severity: alert.severity,
      acknowledged: alert.acknowledged,
      snoozedUntil: input.snoozes.get(alert.id),
      text: alertText(alert, input.writer, now),
    })),
    rooms: Object.entries(config.rooms).map(([id, room]) => ({
      id,
      name: room.name ?? id,
      temperature: latest.roomTemperature(id),
      humidity: latest.roomHumidity(id),
    })),
    tanks: Object.keys(config.tanks).map((id) => ({
      ...tankView(id, house, accounts, latest),
      tending: input.tendings.find(({ tank }) => tank === id),
      tonight: tonightView(input.tonight.get(id)),
      isDry: input.writer.names.isDry?.({ kind: 'tank', id }) ?? false,
    })),
    tendingMinutes: config.alerts.tending_min,
    morning: nextMorning(now, calendar),
    provisional: accounts.month.provisional,
    upkeep: sums(accounts, (account) => account.tanks.get('upkeep')),
    devices: Object.keys(config.devices)
      .map((id) => deviceView(id, input, accounts))
      .sort((a, b) => b.sums.month.cost - a.sums.month.cost),
  };
}

/** This month at the price by which the tanks are not priced, where the tariff has blocks. */
function otherwise({ house, books, now }: RoomModelInput): RoomView['otherwise'] {
  const tariff = house.basis.tariffs.tariffAt(now);
  if (tariff === undefined || books.blockUse(now, now) === undefined) return undefined;
  const at = tariff.blocksAt === 'average' ? 'marginal' : 'average';
  const month = books.account(house.calendar.month(now), now, { blocksAt: at });
  return { at, month: month.site.cost };
}

type Accounts = Readonly<Record<keyof SpanSums, Account>>;

function tankView(
  id: string,
  house: House,
  accounts: Accounts,
  latest: Latest,
): Omit<TankView, 'tending' | 'tonight' | 'isDry'> {
  const { config } = house;
  const tank = config.tanks[id] as (typeof config.tanks)[string];
  return {
    id,
    name: tank.name ?? id,
    animals: tank.animals,
    room: config.rooms[tank.room]?.name ?? tank.room,
    keep: tank.keep_c,
    hasProbe: Object.values(config.probes).some((probe) => probe.tank === id),
    temperature: latest.tankTemperature(id),
    sums: sums(accounts, (account) => account.tanks.get(id)),
  };
}

function tonightView(ahead: NightAhead | undefined): TankView['tonight'] {
  if (ahead === undefined) return undefined;
  const { energy, cost, learnedDays, offBy } = ahead;
  return { energy: energy.value, cost, learnedDays, offBy };
}

/** Of those that have a cost. */
function tonightOfAll(ahead: RoomModelInput['tonight']): RoomView['tonight'] {
  const costs = [...ahead.values()].flatMap(({ cost }) => cost?.value ?? []);
  if (costs.length === 0) return undefined;
  return { cost: costs.reduce((sum, it) => sum + it, 0) as MicroUnits, tanks: costs.length };
}

function deviceView(
  id: string,
  { house, latest, now }: RoomModelInput,
  accounts: Accounts,
): DeviceView {
  const { config, basis, calendar } = house;
  const device = config.devices[id] as (typeof config.devices)[string];
  const { energy = 0, covered = 0 } = accounts.month.devices.get(id) ?? {};
  const shares = sharesIn(basis.shares.of(id, calendar.day(now).from), {
    energy: energy as MilliwattHours,
    time: covered as Millis,
  });
  const whole = shares.reduce((sum, { weight }) => sum + weight, 0);
  const strip = device.plug === undefined ? undefined : basis.strips.get(device.plug);
  const plug = strip === undefined ? 'none' : strip.devices.length > 1 ? 'shared' : 'own';
  return {
    id,
    name: device.name ?? id,
    kind: device.kind,
    serves: shares
      .map(({ tank, weight }) => ({
        tank,
        name: config.tanks[tank]?.name ?? tank,
        part: weight / whole,
      }))
      .sort((a, b) => b.part - a.part),
    plug,
    power:
      device.plug === undefined || plug === 'shared' ? undefined : latest.plugPower(device.plug),
    sums: sums(accounts, (account) => account.devices.get(id)),
  };
}

const sums = (accounts: Accounts, of: (account: Account) => Figures | undefined): SpanSums => ({
  today: sum(of(accounts.today)),
  week: sum(of(accounts.week)),
  month: sum(of(accounts.month)),
});

const NOTHING: Sum = {
  energy: 0 as MilliwattHours,
  cost: 0 as MicroUnits,
  unpriced: 0 as MilliwattHours,
  byKnown: {
    counted: 0 as MilliwattHours,
    integrated: 0 as MilliwattHours,
    bridged: 0 as MilliwattHours,
    reckoned: 0 as MilliwattHours,
  },
  divided: 0 as MilliwattHours,
  missing: 0 as Millis,
  coverage: undefined,
};

function sum(figures: Figures | undefined): Sum {
  if (figures === undefined) return NOTHING;
  const { byKnown } = figures;
  return {
    energy: figures.energy,
    cost: figures.cost,
    unpriced: figures.unpriced,
    byKnown: {
      counted: byKnown.counted.energy,
      integrated: byKnown.integrated.energy,
      bridged: byKnown.bridged.energy,
      reckoned: byKnown.reckoned.energy,
    },
    divided: figures.divided,
    missing: missing(figures),
    coverage: figures.elapsed > 0 ? figures.covered / figures.elapsed : 0,
  };
}
