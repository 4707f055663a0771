import type { VNode } from 'preact';
import { HOUR } from '../units/index.ts';
import { Cost, Legend } from './cost.tsx';
import type { DeviceView, SpanSums, Sum } from './room-view.ts';
import { energyText } from './sums.ts';
import type { Words } from './words.ts';

/** More than this many rows make the page slow to send and to read. */
const MOST_ROWS = 200;

/** The devices in the order given; the first of them only, unless `all` are asked for. */
export function DeviceTable({
  devices,
  all,
  totals,
  words,
}: {
  devices: readonly DeviceView[];
  all: boolean;
  totals: SpanSums;
  words: Words;
}): VNode {
  const shown = all ? devices : devices.slice(0, MOST_ROWS);
  const hidden = devices.length - shown.length;
  return (
    <>
      <table class="devices">
        <thead>
          <tr>
            <th scope="col">Device</th>
            <th scope="col">Now</th>
            <th scope="col">Today</th>
            <th scope="col">This week</th>
            <th scope="col">This month</th>
          </tr>
        </thead>
        <tbody>
          {shown.map((device) => (
            <tr key={device.id}>
              <th scope="row">
                <bdi>{device.name}</bdi>
                <span class="faint kind">
                  {device.kind === 'uv' ? 'UV' : device.kind.replaceAll('-', ' ')}
                  <Serves device={device} words={words} />
                </span>
              </th>
              <td class="now">{powerNow(device, words)}</td>
              <Costs sums={device.sums} words={words} />
            </tr>
          ))}
        </tbody>
        <tfoot>
          <tr>
            <th scope="row">All devices</th>
            <td class="now" />
            <Costs sums={totals} words={words} />
          </tr>
        </tfoot>
      </table>
      {hidden > 0 && (
        <p>
          {words.count(hidden)} more cost less this month. <a href="/?still">See all, held still</a>
        </p>
      )}
      <Legend />
    </>
  );
}

function Costs({ sums, words }: { sums: SpanSums; words: Words }): VNode {
  return (
    <>
      <td data-head="today">
        <Cost sum={sums.today} words={words} />
      </td>
      <td data-head="week">
        <Cost sum={sums.week} words={words} />
      </td>
      <td data-head="month">
        <Cost sum={sums.month} words={words} />
        <span class="faint under">{underMonth(sums.month, words)}</span>
      </td>
    </>
  );
}

/** A gap shorter than this is told only in the sum of all devices. */
const WORTH_TELLING = HOUR;

function underMonth(sum: Sum, words: Words): string {
  const energy = energyText(sum, words);
  if (sum.missing < WORTH_TELLING) return energy;
  return [energy, `${words.length(sum.missing)} unknown`].filter((part) => part !== '').join(', ');
}

function Serves({ device, words }: { device: DeviceView; words: Words }): VNode | null {
  const [first, ...others] = device.serves;
  if (first === undefined) return null;
  return (
    <>
      , <bdi>{first.name}</bdi>
      {others.length > 0 && ` ${words.percent(first.part)} and ${others.length} more`}
    </>
  );
}

function powerNow(device: DeviceView, words: Words): string {
  if (device.plug === 'none') return 'no plug';
  if (device.plug === 'shared') return 'shared plug';
  if (device.power === undefined) return 'unknown';
  return device.power.stale ? 'silent' : words.power(device.power.value);
}
