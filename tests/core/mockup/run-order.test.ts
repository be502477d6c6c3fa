import { describe, expect, test } from 'vitest';
import type { Reading, ReadingMark, WheelSetup } from '../../../core/contract/readings.ts';
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
      const found = nextWanted(wanted, stamps, whole.setups, new Set(skipped));
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
    expect(nextWanted(wanted, struck, whole.setups)).toEqual({ what: 'stop_contact', turning: 'forwards' });
  });

  describe('after TDC was found', () => {
    const records = new BenchRecords();
    const whole = records.mockUp();
    const wanted = wantedEvents(portsOf(whole));
    const [first] = whole.setups;
    if (first === undefined) throw new Error('a mock-up without a set-up');
    const contacts = [
      records.stop(whole, 'forwards', records.camera(whole, 10)),
      records.stop(whole, 'backwards', records.camera(whole, 80)),
    ];
    const opened = records.edge(whole, 'e', 'opens', 'forwards', records.camera(whole, 140));
    const readings = [...contacts, opened];
    const again = { ...first, id: records.id() };
    const carriedOn = { ...again, continuesSetupId: first.id, continuesAtDeg: 140 };
    const with2 = (turning: 'forwards' | 'backwards') =>
      records.stop(whole, turning, { ...records.camera(whole, 30), setupId: again.id });
    const [forwards2, backwards2] = [with2('forwards'), with2('backwards')];
    const nextKey = (
      setups: readonly WheelSetup[],
      extra: readonly Reading[] = [],
      marks: readonly ReadingMark[] = [],
    ) => {
      const found = nextWanted(wanted, joinStamps([...readings, ...extra], marks), setups);
      return found === null ? null : wantedKey(found);
    };

    test('a new reference asks for both contacts before anything else, one that carries on does not', () => {
      expect(nextKey([first])).toBe('port_edge:t:opens:forwards');
      expect(nextKey([first, carriedOn])).toBe('port_edge:t:opens:forwards');
      expect(nextKey([first, again])).toBe('stop_contact:forwards');
      expect(nextKey([first, again], [forwards2])).toBe('stop_contact:backwards');
      expect(nextKey([first, again], [forwards2, backwards2])).toBe('port_edge:t:opens:forwards');
      // Passed over, the run goes on.
      const skipped = new Set(['stop_contact:forwards', 'stop_contact:backwards']);
      expect(nextWanted(wanted, joinStamps(readings, []), [first, again], skipped)).toMatchObject({ portId: 't' });
    });

    test('a contact at a new height of the stop asks for its other side, whichever that is; a repeat does not', () => {
      const at = (turning: 'forwards' | 'backwards', rotationDeg: number) =>
        records.stop(whole, turning, records.camera(whole, rotationDeg));
      expect(nextKey([first], [at('forwards', 340)])).toBe('stop_contact:backwards');
      expect(nextKey([first], [at('backwards', 110)])).toBe('stop_contact:forwards');
      expect(nextKey([first], [at('forwards', 340), at('backwards', 110)])).toBe('port_edge:t:opens:forwards');
      // As close to the first height as a repeat lies: that height has both sides.
      expect(nextKey([first], [at('forwards', 9.7)])).toBe('port_edge:t:opens:forwards');
      // On this side of the first full height, the second one is begun anew with a third.
      const heights = [at('forwards', 340), at('backwards', 110), at('backwards', 125)];
      expect(nextKey([first], heights)).toBe('stop_contact:forwards');
    });

    test('the other side of a height is not pressed on whoever goes on with something else', () => {
      const higher = records.stop(whole, 'forwards', records.camera(whole, 340));
      const opensT = records.edge(whole, 't', 'opens', 'forwards', records.camera(whole, 165));
      expect(nextKey([first], [higher, opensT])).toBe('port_edge:t:closes:forwards');
      expect(nextKey([first], [higher], [records.mark(higher, 'struck')])).toBe('port_edge:t:opens:forwards');
      const passedOver = new Set(['stop_contact:backwards']);
      const stamps = joinStamps([...readings, higher], []);
      expect(nextWanted(wanted, stamps, [first], passedOver)).toMatchObject({ portId: 't', edge: 'opens' });
    });

    test('contacts in doubt are asked for again first; one taken back is not held for taken', () => {
      const doubts = contacts.map((one) => records.mark(one, 'doubtful'));
      expect(nextKey([first], [], doubts)).toBe('stop_contact:forwards');
      const [, backwards] = contacts;
      if (backwards === undefined) throw new Error('no contact');
      expect(nextKey([first], [], [records.mark(backwards, 'struck')])).toBe('port_edge:t:opens:forwards');
    });

    test('whoever goes over to typing after the camera was set up counts from the typed contacts', () => {
      const typedSetup: WheelSetup = { ...first, id: records.id(), by: 'typed' };
      const typed = (turning: 'forwards' | 'backwards') =>
        records.stop(whole, turning, {
          by: 'typed',
          setupId: typedSetup.id,
          typedText: '30',
          wheelReadingDeg: 30,
          sideOfZero: null,
          reading: { scale: '0-360', growsForwards: true },
          resolutionDeg: 0.5,
          instrumentId: null,
          instrumentSigmaDeg: 0,
        });
      const both = [typed('forwards'), typed('backwards')];
      const setups = [first, again, typedSetup];
      expect(nextKey(setups)).toBe('stop_contact:forwards');
      expect(nextKey(setups, both)).toBe('port_edge:t:opens:forwards');
      const third = { ...first, id: records.id() };
      expect(nextKey([...setups, third], both)).toBe('stop_contact:forwards');
    });
  });
});
