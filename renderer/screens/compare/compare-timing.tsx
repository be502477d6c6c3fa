import { useMemo, useState } from 'react';
import type { ComparedMockUp } from '../../../core/mockup/compare.ts';
import { type BandRow, TimingBand } from '../../drawings/timing-band.tsx';
import type { DiagramPort } from '../../drawings/timing-data.ts';
import { TimingDial } from '../../drawings/timing-dial.tsx';
import { ChoiceField } from '../../parts/fields.tsx';
import { diagramOf } from '../../state/mock-up-result.ts';
import { columnTitle } from './compare-words.ts';

/** The same port of all mock-ups: unrolled one below the other, or one lane each on one dial. */
export function CompareTiming({ mockUps }: { mockUps: readonly ComparedMockUp[] }) {
  const drawn = useMemo(
    () =>
      mockUps.map((mockUp) => ({
        mockUp,
        ports:
          mockUp.whole.barrel.kind === 'barrel'
            ? diagramOf(mockUp.checks.timing, mockUp.whole.barrel.data.ports).ports
            : [],
      })),
    [mockUps],
  );
  const labels = new Map(drawn.flatMap(({ ports }) => ports.map((port) => [port.portId, port.label] as const)));
  const [wanted, setWanted] = useState('');
  const chosen = labels.has(wanted) ? wanted : ([...labels.keys()][0] ?? '');
  const rows = useMemo(
    () =>
      [...new Set(drawn.flatMap(({ ports }) => ports.map(({ portId }) => portId)))].flatMap((portId) =>
        drawn
          .flatMap(({ mockUp, ports }) =>
            ports.filter((port) => port.portId === portId).map((port) => ({ mockUp, port })),
          )
          .map(
            ({ mockUp, port }, index): BandRow => ({
              key: `${portId} ${mockUp.whole.mockUp.id}`,
              title: `${port.label}, ${mockUp.whole.barrel.name}`.slice(0, 24),
              port,
              isNewGroup: index === 0,
            }),
          ),
      ),
    [drawn],
  );
  const lanes = drawn.flatMap(({ mockUp, ports }) =>
    ports
      .filter((port) => port.portId === chosen && (port.opens !== null || port.closes !== null))
      .map(
        (port): DiagramPort => ({
          ...port,
          // One lane a mock-up: what tells the lanes apart is the barrel, not the port.
          portId: mockUp.whole.mockUp.id,
          label: mockUp.whole.barrel.name,
          edgeTitles: { opens: `${mockUp.whole.barrel.name} opens`, closes: `${mockUp.whole.barrel.name} closes` },
        }),
      ),
  );
  if (labels.size === 0) return null;
  return (
    <section className="panel stack" aria-label="Timing of all">
      <h2>Timing, one below the other</h2>
      <TimingBand rows={rows} title={`Timing of ${mockUps.map(columnTitle).join(', ')}`} isInteractive />
      <h2>One port on one dial, outermost lane first</h2>
      <ChoiceField
        label="Port"
        value={chosen}
        choices={[...labels].map(([value, title]) => ({ value, title }))}
        onChange={setWanted}
      />
      {lanes.length === 0 ? (
        <p className="muted">No edge of this port is read yet.</p>
      ) : (
        <TimingDial
          data={{ ports: lanes, blowdown: null }}
          title={`${labels.get(chosen) ?? ''} of ${lanes.map(({ label }) => label).join(', ')}`}
          isInteractive
        />
      )}
    </section>
  );
}
