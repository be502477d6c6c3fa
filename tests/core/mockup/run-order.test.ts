import { describe, expect, test } from 'vitest';
import { nextWanted, stampKey, wantedEvents, wantedKey, wantedSentence } from '../../../core/mockup/run-order.ts';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { BenchRecords } from '../../support/bench-records.ts';

function portsOf(whole: ReturnType<BenchRecords['mockUp']>) {
  return whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
}

describe('the order of wanted events', () => {
  test('stop both ways, then edges as the crank meets them forwards, then the same backwards', () => {
    const whole = new BenchRecords().mockUp();
    expect(wantedEvents(portsOf(whole)).map((wanted) => wantedSentence(wanted, portsOf(whole)))).toEqual([
      'Piston against the stop, turning forwards',
      'Piston against the stop, turning backwards',
      'Exhaust opens, turning forwards',
      'Transfers open, turning forwards',
      'Transfers close, turning forwards',
      'Exhaust closes, turning forwards',
      'Exhaust closes, turning backwards',
      'Transfers close, turning backwards',
      'Transfers open, turning backwards',
      'Exhaust opens, turning backwards',
    ]);
  });

  test('intake edges follow as a round of their own and a reed has none', () => {
    const whole = new BenchRecords().mockUp({
      ports: [
        { portId: 'i', kind: 'intake_skirt', label: 'Intake' },
        { portId: 'r', kind: 'intake_reed', label: 'Reed' },
        { portId: 'e', kind: 'exhaust', label: 'Exhaust' },
      ],
    });
    const keys = wantedEvents(portsOf(whole)).map(wantedKey);
    expect(keys.slice(2, 6)).toEqual([
      'port_edge:e:opens:forwards',
      'port_edge:e:closes:forwards',
      'port_edge:i:opens:forwards',
      'port_edge:i:closes:forwards',
    ]);
    expect(keys.some((key) => key.includes(':r:'))).toBe(false);
  });

  test('asks for the next open one after the last stamp, passes over skipped ones, and comes back to what is open', () => {
    const records = new BenchRecords();
    const whole = records.mockUp();
    const wanted = wantedEvents(portsOf(whole));
    const opened = records.edge(whole, 'e', 'opens', 'forwards', records.camera(whole, 90));
    const stamps = joinStamps([opened], []);
    expect(stamps.map(stampKey)).toEqual(['port_edge:e:opens:forwards']);
    const next = (skipped: string[]) => {
      const found = nextWanted(wanted, stamps, new Set(skipped));
      return found === null ? null : wantedKey(found);
    };
    expect(next([])).toBe('port_edge:t:opens:forwards');
    expect(next(['port_edge:t:opens:forwards'])).toBe('port_edge:t:closes:forwards');
    const later = wanted.slice(3).map(wantedKey);
    expect(next(later)).toBe('stop_contact:forwards');
    expect(next(wanted.map(wantedKey))).toBeNull();
  });

  test('a struck stamp is wanted again', () => {
    const records = new BenchRecords();
    const whole = records.mockUp();
    const stop = records.stop(whole, 'forwards', records.camera(whole, 10));
    const wanted = wantedEvents(portsOf(whole));
    const struck = joinStamps([stop], [records.mark(stop, 'struck')]);
    expect(nextWanted(wanted, struck)).toEqual({ what: 'stop_contact', turning: 'forwards' });
  });
});
