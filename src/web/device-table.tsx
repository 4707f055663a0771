import type { VNode } from 'preact';
import type { DeviceView, SpanSums } from './room-view.ts';
import { costText } from './sums.ts';
import type { Words } from './words.ts';

export function DeviceTable({
  devices,
  totals,
  words,
}: {
  devices: readonly DeviceView[];
  totals: SpanSums;
  words: Words;
}): VNode {
  return (
    <div class="roll">
      <table>
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
          {devices.map((device) => (
            <tr key={device.id}>
              <td>
                {device.name}
                <br />
                <span class="faint">
                  {device.kind}, {serves(device, words)}
                </span>
              </td>
              <td data-head="now">{powerNow(device, words)}</td>
              <td data-head="today">{costText(device.sums.today, words)}</td>
              <td data-head="week">{costText(device.sums.week, words)}</td>
              <td data-head="month">
                {costText(device.sums.month, words)}
                <br />
                <span class="faint">{words.energy(device.sums.month.energy)}</span>
              </td>
            </tr>
          ))}
        </tbody>
        <tfoot>
          <tr>
            <td>All devices</td>
            <td />
            <td data-head="today">{costText(totals.today, words)}</td>
            <td data-head="week">{costText(totals.week, words)}</td>
            <td data-head="month">
              {costText(totals.month, words)}
              <br />
              <span class="faint">{words.energy(totals.month.energy)}</span>
            </td>
          </tr>
        </tfoot>
      </table>
      <p class="faint">~ more than a tenth of it is reckoned or bridged, not measured.</p>
    </div>
  );
}

function serves(device: DeviceView, words: Words): string {
  const [first, ...others] = device.serves;
  if (first === undefined) return '';
  if (others.length === 0) return first.name;
  return `${first.name} ${words.percent(first.part)} and ${others.length} more`;
}

function powerNow(device: DeviceView, words: Words): string {
  if (!device.metered) return 'no plug';
  if (device.power === undefined) return 'unknown';
  return device.power.stale ? 'silent' : words.power(device.power.value);
}
