import { useEffect, useMemo, useState } from 'react';
import { useStore } from 'zustand';
import type { WheelSetup } from '../../../core/contract/readings.ts';
import { placedAngle } from '../../../core/mockup/edge-readings.ts';
import { repeatsOf } from '../../../core/mockup/repeats.ts';
import { joinStamps, type Stamp } from '../../../core/mockup/stamps.ts';
import { type TimingResult, timingResult } from '../../../core/mockup/timing-result.ts';
import { budgetDefaults } from '../../../core/uncertainty/event-budget.ts';
import { wrapTurn } from '../../../core/units.ts';
import type { MicrophoneState } from '../../microphone/microphone.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { measuredAngle } from '../../parts/expanded-angle.ts';
import { NextStepLink } from '../../parts/next-step-link.tsx';
import { crankAngle, quotedCrank, rotationInUse, tdcOfSetup, wholeAtBench } from '../../state/bench-angle.ts';
import { approachToEdge } from '../../state/bench-approach.ts';
import { wayOf } from '../../state/bench-hold-effects.ts';
import { setupsWorthCarryingOn } from '../../state/bench-kept-setup.ts';
import { keyOf, portsOf, wantedList, wantedNow } from '../../state/bench-run.ts';
import { benchSession } from '../../state/bench-session.ts';
import { stateWordOf } from '../../state/bench-state-word.ts';
import { useClient, useMockUpState, useMockUpStore, usePreferences, useServices } from '../../state/services.ts';
import { CameraFault } from '../set-up/camera-fault.tsx';
import { CameraPicture } from '../set-up/camera-picture.tsx';
import { CarryOnQuestion } from '../set-up/carry-on-question.tsx';
import { ForwardsQuestion } from '../set-up/forwards-question.tsx';
import { WheelScaleValue } from '../set-up/wheel-scale-value.tsx';
import { ApproachLine } from './approach-line.tsx';
import { PointerComparisonForm } from './pointer-comparison.tsx';
import { PointerNotice } from './pointer-notice.tsx';
import { SecondPicture } from './second-picture.tsx';
import { SignalLines } from './signal-lines.tsx';
import { StampList } from './stamp-list.tsx';
import { StateWord } from './state-word.tsx';
import { Tape, type TapeMark } from './tape.tsx';
import { TimingPanel } from './timing-panel.tsx';
import { TypedReading } from './typed-reading.tsx';
import { useBenchAnswers, useBenchSignals, useScreenAwake } from './use-bench.ts';
import { benchSentence, Caution } from './wanted-line.tsx';
import './bench.css';
import '../set-up/set-up.css';

/** Angle now, which event is wanted, what was just stamped, durations so far. */
export function BenchScreen() {
  const client = useClient();
  const { preferences: preferencesStore } = useServices();
  const mockUp = useMockUpStore();
  const { whole } = useMockUpState();
  const preferences = usePreferences();
  const session = benchSession(client, preferencesStore, mockUp);
  const { sight, run, outbox } = session;
  const sightState = useStore(sight.store);
  const runState = useStore(run.store);
  const sending = useStore(outbox.store);
  const [isTypingOpen, setIsTypingOpen] = useState(false);
  const [microphone, setMicrophone] = useState<MicrophoneState>({ kind: 'off' });

  useEffect(() => {
    void sight.openRemembered();
  }, [sight]);

  useBenchSignals(session, mockUp, preferencesStore, setMicrophone);
  useBenchAnswers(session, mockUp, preferencesStore);
  useScreenAwake();

  const atBench = useMemo(
    () => (whole === null ? null : wholeAtBench(whole, runState, sightState.setup)),
    [whole, runState, sightState.setup],
  );
  const evaluated = useMemo(() => {
    if (atBench === null) return null;
    const defaults = {
      ...budgetDefaults,
      placementPriorDeg: preferences.placementDeg,
      slackDeg: preferences.slackDeg,
    };
    try {
      return { result: timingResult(atBench, defaults), failure: null };
    } catch (error) {
      return { result: null, failure: error instanceof Error ? error.message : String(error) };
    }
  }, [atBench, preferences.placementDeg, preferences.slackDeg]);
  const stamps = useMemo(() => (atBench === null ? [] : joinStamps(atBench.readings, atBench.marks)), [atBench]);
  const stampedSetups = useMemo(() => setupsWorthCarryingOn(atBench?.setups ?? [], atBench?.readings ?? []), [atBench]);
  const outlierIds = useMemo(() => outliersOf(evaluated?.result ?? null, atBench?.setups ?? []), [evaluated, atBench]);
  if (whole === null || atBench === null) return <p role="status">Opening the mock-up</p>;

  const { setup, live, shownRotationDeg } = sightState;
  const ports = portsOf(whole);
  const wanted = wantedNow(whole, runState, setup);
  const forwards = setup?.content.forwards ?? null;
  const crank =
    shownRotationDeg === null || setup === null ? null : crankAngle(atBench, stamps, setup.id, shownRotationDeg);
  const sigma = live?.reading.accepted === true ? live.reading.sigmaDeg : null;
  const decimals = sigma !== null && sigma < 0.05 ? 2 : 1;
  const quoted = crank === null ? null : quotedCrank(crank, decimals);
  const marks: TapeMark[] = stamps.flatMap((stamp) => {
    const { subject } = stamp.current;
    if (stamp.struck || subject.what === 'quantity' || setup === null) return [];
    const rotationDeg = rotationInUse(atBench, setup.id, subject.angle);
    if (rotationDeg === null) return [];
    const word = subject.what === 'port_edge' ? subject.edge : subject.what === 'stop_contact' ? 'stop' : 'check';
    return [{ key: stamp.root.id, rotationDeg, word, isWanted: false }];
  });

  return (
    <section className="bench" aria-label="Bench">
      <h1 className="visually-hidden">Bench</h1>
      <div className="bench-main">
        <div className="bench-angle" data-testid="angle">
          <span className="bench-figure" data-testid="angle-figure">
            {quoted === null
              ? shownRotationDeg === null
                ? '--.-'
                : shownRotationDeg.toFixed(decimals)
              : quoted.figure}
          </span>
          <span className="bench-unit">
            {quoted === null ? (
              <>
                {shownRotationDeg === null ? 'no reading' : 'deg'}
                <br />
                <small>{shownRotationDeg === null ? '' : 'from the reference; TDC not found yet'}</small>
              </>
            ) : (
              <>
                deg {quoted.side}
                <br />
                <small>{quoted.words}</small>
              </>
            )}
            <br />
            <small data-testid="angle-uncertainty">
              {sigma === null ? '' : `± ${measuredAngle(sigma).expanded} (reader, U = 2 u)`}
            </small>
          </span>
        </div>
        <WheelScaleValue content={setup?.content ?? null} rotationDeg={shownRotationDeg} crankDeg={crank} />
        <PointerNotice pointer={sightState.pointer} mockUpId={whole.mockUp.id} />
        <ApproachLine
          approach={
            setup === null || forwards === null || wanted === null || shownRotationDeg === null
              ? null
              : approachToEdge(
                  wanted,
                  stamps,
                  (angle) => rotationInUse(atBench, setup.id, angle),
                  shownRotationDeg,
                  wayOf(wanted.turning, forwards),
                )
          }
          hasTones={preferences.tones}
        />
        <StateWord
          state={stateWordOf(sightState, evaluated?.result?.tdc.driftSentence ?? null)}
          hasTones={preferences.stateTones}
        />
        <Tape listen={sight.listenTape} rotationDeg={shownRotationDeg} marks={marks} />
        <CarryOnQuestion sight={sight} state={sightState} stampedSetups={stampedSetups} />
        <div className="bench-wanted" data-testid="wanted">
          <span className="muted">Next </span>
          <strong>{wanted === null ? 'Every event is stamped' : benchSentence(wanted, ports)}</strong>
          {wanted === null || runState.chosen === null ? null : <span className="muted"> (chosen)</span>}
          {wanted === null ? <NextStepLink /> : null}
        </div>
        <Caution wanted={wanted} />
        {setup !== null && forwards === null ? (
          <ForwardsQuestion state={sightState} onAnswer={sight.answerForwards} />
        ) : null}
        <div className="row bench-actions">
          <Button
            look="main"
            keyHint={preferences.stampKey}
            onPress={() => run.signal('button', performance.timeOrigin + performance.now())}
          >
            Port edge seen
          </Button>
          <Button keyHint={preferences.undoKey} onPress={() => run.takeBack()}>
            Take back
          </Button>
          <Button isDisabled={runState.takenBack.length === 0} onPress={run.giveBack}>
            Give back
          </Button>
          <Button isDisabled={wanted === null} onPress={run.skip}>
            Skip this event
          </Button>
          <Button isPressed={isTypingOpen} onPress={() => setIsTypingOpen(!isTypingOpen)}>
            Type a wheel reading
          </Button>
          <Button onPress={() => run.choose({ what: 'tdc_check', turning: 'forwards' })}>Check TDC again</Button>
          <Button onPress={run.wheelMoved}>Wheel moved</Button>
        </div>
        {/* Below what is looked at from three metres: opened, it must not push that off the screen. */}
        <PointerComparisonForm
          content={setup?.content ?? null}
          rotationDeg={shownRotationDeg}
          isSteady={live?.motion === 'steady'}
          onCheckTdc={() => run.choose({ what: 'tdc_check', turning: 'forwards' })}
          onPointerMoved={(shownAtReferenceDeg) => sight.changeSetup({ shownAtReferenceDeg })}
        />
        <SignalLines microphone={microphone} isVoiceWanted={preferences.voice} />
        {[runState.notice, runState.news].map((one) =>
          one === null ? null : (
            <Notice key={one.sentence} tone={one.tone === 'refused' ? 'failure' : 'note'}>
              {one.sentence} {one.remedy}
            </Notice>
          ),
        )}
        {sending.failure === null ? null : (
          <Notice tone="failure" action={<Button onPress={outbox.retry}>Try now</Button>}>
            {sending.failure} {sending.waiting} waiting; nothing is lost while this page stays open.
          </Notice>
        )}
        {sending.refused.map((one) => (
          <Notice key={one.sentence} tone="failure" title={one.label}>
            {one.sentence}
          </Notice>
        ))}
        {isTypingOpen && wanted !== null ? (
          <TypedReading
            wanted={wanted}
            sentence={benchSentence(wanted, ports)}
            before={whole.setups.findLast((one) => one.by === 'typed')?.wheelReading ?? null}
            instrumentBefore={lastWheel(stamps)}
            onTyped={run.typed}
          />
        ) : null}
        <label className="field">
          Event to stamp
          <select
            aria-label="Event to stamp"
            value={wanted === null ? '' : keyOf(wanted)}
            onChange={(event) => {
              const next = wantedList(whole).find((one) => keyOf(one) === event.target.value);
              if (next !== undefined) run.choose(next);
              // The stamp key must not go to the list any more.
              event.target.blur();
            }}
          >
            {wanted === null ? <option value="">Every event is stamped</option> : null}
            {wanted?.what === 'tdc_check' ? (
              <option value={keyOf(wanted)}>{benchSentence(wanted, ports)}</option>
            ) : null}
            {wantedList(whole).map((one) => (
              <option key={keyOf(one)} value={keyOf(one)}>
                {benchSentence(one, ports)}
              </option>
            ))}
          </select>
        </label>
      </div>
      <aside className="bench-side">
        {sightState.camera.kind === 'running' ? (
          <CameraPicture
            video={sight.video}
            size={sightState.picture ?? sightState.camera.source}
            rim={sightState.rim}
            isMirrored={sightState.isMirrored}
            quarterTurns={sightState.quarterTurns}
          />
        ) : (
          <CameraFault camera={sightState.camera} isAlone onOpen={() => void sight.openCamera(null)} />
        )}
        <SecondPicture second={session.second} sight={sightState} />
        <StampList
          stamps={stamps}
          run={run}
          ports={ports}
          flash={runState.flash}
          outlierIds={outlierIds}
          crankOf={(stamp) => {
            const { subject } = stamp.current;
            if (subject.what === 'quantity') return null;
            // Each stamp counts from the TDC of its own set-up: one of yesterday keeps its angle.
            const zeroDeg = tdcOfSetup(atBench, stamps, subject.angle.setupId);
            const placed = placedAngle(subject.angle, atBench.setups);
            return placed === null || zeroDeg === null ? null : wrapTurn(placed.read.angleDeg - zeroDeg);
          }}
        />
        <TimingPanel
          result={evaluated?.result ?? null}
          failure={evaluated?.failure ?? null}
          setups={atBench.setups}
          onWheelMoved={run.wheelMoved}
        />
      </aside>
    </section>
  );
}

/** The listed wheel of the latest typed reading. */
function lastWheel(stamps: readonly Stamp[]): string | null {
  const typed = stamps.findLast(
    ({ current: { subject } }) => subject.what !== 'quantity' && subject.angle.by === 'typed',
  )?.current.subject;
  return typed !== undefined && typed.what !== 'quantity' && typed.angle.by === 'typed'
    ? typed.angle.instrumentId
    : null;
}

/** Stamps that stand apart from the repeats of their edge and direction. */
function outliersOf(result: TimingResult | null, setups: readonly WheelSetup[]): ReadonlySet<string> {
  const repeats = (result?.events ?? []).map((row) => repeatsOf(row.stamps, setups));
  return new Set(repeats.flatMap((one) => [one.forwards, one.backwards]).flatMap((one) => one?.outlierIds ?? []));
}
