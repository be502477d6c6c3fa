import '../../drawings/drawings.css';
import './ports.css';
import { type ReactNode, useEffect, useMemo, useState } from 'react';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import { crankFrom, depthAt } from '../../../core/crank/geometry.ts';
import { sideDifferences } from '../../../core/mockup/side-pairs.ts';
import type { SizesOfMockUp } from '../../../core/mockup/sizes.ts';
import { type MockUpSizes, mockUpFigures } from '../../../core/planner/mock-up-figures.ts';
import { AreaChart } from '../../drawings/area-chart.tsx';
import { LineSample } from '../../drawings/line-sample.tsx';
import { areaChartData, type OpeningOfPort, openingsOf, portMapData, skirtLengthOf } from '../../drawings/port-data.ts';
import { PortMap } from '../../drawings/port-map.tsx';
import { layOutWindows } from '../../drawings/port-map-layout.ts';
import { shownAngle, spokenAngle } from '../../drawings/timing-data.ts';
import { Button, LinkButton, Notice } from '../../parts/controls.tsx';
import { figureTitle, originOfFigure } from '../../parts/figure-words.ts';
import { MissingList, NothingKnown } from '../../parts/missing-list.tsx';
import { NumberField } from '../../parts/number-field.tsx';
import { type Origin, OriginPanel } from '../../parts/origin-panel.tsx';
import { type ShownSizes, shownSizes } from '../../parts/shown-size.ts';
import { FailedState, LoadingState } from '../../parts/states.tsx';
import { type FoundFigure, foundFigures } from '../../state/found-figures.ts';
import { useMockUpState, usePreferences } from '../../state/services.ts';
import { useSizes } from '../../state/use-sizes.ts';
import { AreaTable, BlowdownTable, WindowTable } from './port-tables.tsx';
import { SideTable } from './side-table.tsx';

/** Port map, open area against the crank angle, time-areas: what the windows of this barrel let through. */
export function PortsScreen() {
  const { whole, failure } = useMockUpState();
  const [speedRpm, setSpeed] = useState<number | null>(null);
  const found = useSizes(speedRpm);
  if (whole === null) {
    return failure === null ? (
      <LoadingState what="Reading the mock-up" />
    ) : (
      <FailedState isScreen what="This mock-up can't be read" sentence={failure} />
    );
  }
  if (found === null || whole.barrel.kind !== 'barrel') return null;
  const { sizes, missing } = found;
  if (sizes === null || sizes.ports.every(({ edgeDepthMm }) => edgeDepthMm === undefined)) {
    return (
      <NothingKnown
        title="No port has a place yet"
        first="Stamp the port edges at the bench, or enter heights of the ports and measure the deck."
        missing={missing}
        whole={whole}
      />
    );
  }
  return (
    <div className="desk">
      <div className="row spread">
        <h1>Ports</h1>
        <div className="row">
          <span className="muted">
            {whole.barrel.name}, {whole.mockUp.name}
          </span>
          <LinkButton look="quiet" to={{ screen: 'part', partId: whole.barrel.id }}>
            Edit the sizes of the windows
          </LinkButton>
        </div>
      </div>
      <Known whole={whole} found={found} sizes={sizes} onSpeed={setSpeed} />
      <MissingList missing={missing} whole={whole} />
    </div>
  );
}

interface KnownProps {
  readonly whole: MockUpWhole;
  readonly found: SizesOfMockUp;
  readonly sizes: MockUpSizes;
  readonly onSpeed: (speedRpm: number | null) => void;
}

function Known({ whole, found, sizes, onSpeed }: KnownProps) {
  const preferences = usePreferences();
  const shown = useMemo(() => shownSizes(preferences), [preferences]);
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  const figures = useMemo(() => mockUpFigures(sizes), [sizes]);
  const openings = useMemo(() => openingsOf(ports, sizes), [ports, sizes]);
  const chart = useMemo(() => areaChartData(openings, figures), [openings, figures]);
  const map = useMemo(() => portMapData(whole, sizes, figures), [whole, sizes, figures]);
  const all = useMemo(() => foundFigures(found), [found]);
  const sides = useMemo(() => sideDifferences(found, ports), [found, ports]);
  const [crankDeg, setCrankDeg] = useState(chart.blowdown === null ? 180 : Math.round(chart.blowdown.toDeg));
  const [isTurning, setTurning] = useState(false);
  useTurning(isTurning, setCrankDeg);
  const [origin, setOrigin] = useState<Origin | null>(null);
  const ask = (figure: FoundFigure) => setOrigin(originOf(figure, whole, found, shown));
  const crownMm = depthAt(crankFrom(sizes.geometry), crankDeg);
  const skirtMm = skirtLengthOf(whole);
  const isTooWide = layOutWindows(sizes.boreMm, map.data.ports).isTooWide;
  const tables = { ports, sizes, found: all, edgeDepths: found.edgeDepths, shown, onOrigin: ask };
  return (
    <>
      {found.edgeDepths.map(({ portId, question }) =>
        question === null ? null : (
          <Notice key={portId} tone="caution" title="Look at this.">
            {question}
          </Notice>
        ),
      )}
      <div className="desk-columns ports-columns">
        <div className="stack">
          <section className="panel" aria-label="Port map">
            <h2>Port map</h2>
            {map.data.ports.length === 0 ? (
              <p className="muted">No window has both its sizes and its height yet.</p>
            ) : (
              <PortMap
                data={map.data}
                title={`Port map of ${whole.barrel.name}`}
                lengthText={shown.length}
                isInteractive
                piston={{
                  crownMm,
                  skirtMm: skirtMm === null ? null : crownMm + skirtMm,
                  text: `crown at ${shownAngle(crankDeg)}`,
                }}
              />
            )}
            <p className="small muted">
              The bore unrolled, seen from inside as on a rubbing. Heights and developed widths are to scale; places
              round the bore are laid out by kind and side, for they are not measured.
              {map.notDrawn.length === 0 ? '' : ` Not drawn yet: ${map.notDrawn.join(', ')}.`}
            </p>
            {isTooWide ? (
              <Notice tone="caution" title="Check the widths.">
                The windows together need more room than the circumference of the bore: a chord may have been entered as
                a total, or the count of windows is off.
              </Notice>
            ) : null}
          </section>
          <section className="panel" aria-label="Open area against the crank angle">
            <h2>Open area against the crank angle</h2>
            <AreaChart
              data={chart}
              title="Open area of every port over one turn"
              areaFactor={shown.perMm ** 2}
              areaUnit={shown.areaUnit}
              decimalMark={preferences.decimalMark}
              cursor={{
                crankDeg,
                spoken: spokenAreas(crankDeg, openings, shown),
                onChange: (angle) => {
                  setTurning(false);
                  setCrankDeg(angle);
                },
              }}
            />
            <p className="small muted">
              Drag the line, or focus it and use the arrow keys; with Shift ten degrees, Page Up and Page Down from edge
              to edge.
            </p>
          </section>
        </div>
        <div className="stack">
          <section className="panel stack" aria-label="Speed">
            <NumberField
              label="Speed for the time-areas"
              kind="plain"
              unit="rev/min"
              decimals={0}
              value={sizes.speedRpm ?? null}
              lower={0}
              isLowerExcluded
              upper={40_000}
              hint="Only for this view; the engine's own speed stands with the engine"
              onChange={onSpeed}
            />
          </section>
          <AtAngle crankDeg={crankDeg} crownMm={crownMm} openings={openings} shown={shown}>
            {preferences.motion === 'off' ? null : (
              <Button isPressed={isTurning} onPress={() => setTurning(!isTurning)}>
                {isTurning ? 'Stop' : 'Turn the crank'}
              </Button>
            )}
          </AtAngle>
          <BlowdownTable {...tables} />
        </div>
      </div>
      <WindowTable {...tables} />
      <AreaTable {...tables} speedRpm={sizes.speedRpm ?? null} />
      <SideTable pairs={sides} shown={shown} />
      {origin === null ? null : <OriginPanel origin={origin} onClose={() => setOrigin(null)} />}
    </>
  );
}

/** Degrees a second at which the ports are shown opening and shutting: a turn takes six seconds. */
const shownTurningDegPerSecond = 60;

/** Turns the crank on the screen, forwards, round and round. */
function useTurning(isOn: boolean, turn: (next: (before: number) => number) => void): void {
  useEffect(() => {
    if (!isOn) return;
    let last: number | null = null;
    let frame = requestAnimationFrame(function step(now) {
      const seconds = last === null ? 0 : (now - last) / 1000;
      last = now;
      turn((before) => (before + seconds * shownTurningDegPerSecond) % 360);
      frame = requestAnimationFrame(step);
    });
    return () => cancelAnimationFrame(frame);
  }, [isOn, turn]);
}

function spokenAreas(crankDeg: number, openings: readonly OpeningOfPort[], shown: ShownSizes): string {
  const areas = openings.map(({ port, opening }) => `${port.label} ${shown.area(opening.areaAt(crankDeg))}`);
  return [spokenAngle(crankDeg), ...areas].join(', ');
}

interface AtAngleProps {
  readonly children: ReactNode;
  readonly crankDeg: number;
  readonly crownMm: number;
  readonly openings: readonly OpeningOfPort[];
  readonly shown: ShownSizes;
}

/** What is open where the cursor stands. */
function AtAngle({ crankDeg, crownMm, openings, shown, children }: AtAngleProps) {
  return (
    <section className="panel" aria-label="At this angle">
      <div className="row spread">
        <h2>At {shownAngle(crankDeg)}</h2>
        {children}
      </div>
      <p>
        Crown <strong>{shown.length(crownMm)}</strong> below its TDC position
      </p>
      <table className="table">
        <thead>
          <tr>
            <th scope="col">Port</th>
            <th scope="col" className="figure">
              Open, {shown.areaUnit}
            </th>
            <th scope="col" className="figure">
              Of all
            </th>
          </tr>
        </thead>
        <tbody>
          {openings.map(({ port, opening }) => {
            const area = opening.areaAt(crankDeg);
            return (
              <tr key={port.portId}>
                <th scope="row">
                  <LineSample kind={port.kind} />
                  {port.label}
                </th>
                <td className="figure key-figure">{shown.bareArea(area)}</td>
                <td className="figure">{shown.number((100 * area) / opening.fullAreaMm2, 0)} %</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

/** The side panel of one figure: heights it rests on, and where those come from. */
function originOf(figure: FoundFigure, whole: MockUpWhole, found: SizesOfMockUp, shown: ShownSizes): Origin {
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  const { portId } = figure.item;
  return originOfFigure({
    item: figure.item,
    title: figureTitle(figure.item, ports),
    value: figure.value,
    sizes: shown,
    rests: found.edgeDepths
      .filter((depth) => portId === null || depth.portId === portId)
      .map((depth) => ({
        what: `${ports.find((port) => port.portId === depth.portId)?.label ?? depth.portId}, edge below the crown at TDC`,
        value: shown.length(depth.depthMm.value),
        note: `by ${depth.by}, ± ${shown.length(2 * depth.depthMm.sigma)}`,
      })),
    remarks: found.remarks,
  });
}
