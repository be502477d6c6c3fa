import { v7 as newId } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { Way, WheelSetup, WheelSetupContent } from '../../core/contract/readings.ts';
import { wrapTurn } from '../../core/units.ts';
import type { RingBand, StraightenedRing, WheelReading } from '../../core/wheel/types.ts';
import type { MediaDoor } from '../camera/camera.ts';
import type { FromWorker } from '../wheel-worker/messages.ts';
import { startWheelWorker, type WorkerMaker } from '../wheel-worker/worker-link.ts';
import { type EarlierSetup, earlierSetups, type LeftSetup } from './bench-kept-setup.ts';
import { createPictureSource, type PictureSourceControl } from './bench-picture.ts';
import { createReReads } from './bench-re-reads.ts';
import { createRimByHand, type RimByHand } from './bench-rim.ts';
import { createSetupKeeper } from './bench-setup-keeper.ts';
import {
  contentAfterFit,
  contentAfterMove,
  contentJoined,
  contentOfNewSetup,
  contentOfRow,
  type MovedPlace,
  placeholderInfo,
} from './bench-setup-rows.ts';
import {
  createSightStore,
  heard,
  latestCameraSetup,
  type SetupInUse,
  type SightStore,
  withoutSetup,
} from './bench-sight.ts';
import { createFileTaker } from './bench-stills.ts';
import type { Outbox } from './outbox.ts';
import { scaleCarriedOn } from './wheel-scale-shown.ts';

export interface SightTools {
  readonly client: Client;
  readonly outbox: Outbox;
  readonly mockUpId: string;
  readonly media: MediaDoor | null;
  readonly makeWorker: WorkerMaker;
}

export interface Sight
  extends Pick<
      PictureSourceControl,
      | 'video'
      | 'openCamera'
      | 'openRemembered'
      | 'playFile'
      | 'closePicture'
      | 'setMode'
      | 'setMirrored'
      | 'setQuarterTurns'
      | 'lock'
    >,
    RimByHand {
  readonly store: SightStore;
  /** Files that were dropped or chosen: a recording is played, stills are read with the present set-up. */
  takeFiles(files: readonly File[]): void;
  find(): void;
  /** Ends the search for the wheel. */
  stopFinding(): void;
  /** Watches the pointer, which crosses the rim at this place of the picture; null takes the mark off. */
  markPointer(atPx: readonly [number, number] | null): void;
  /** Takes up a kept set-up of the mock-up, if there is one and none is in use. */
  offerKeptSetups(setups: readonly WheelSetup[]): void;
  /** Answers whether the new set-up counts on from this earlier one; with the angle it does. */
  carryOn(earlier: EarlierSetup, atDeg: number | null): void;
  answerForwards(forwards: Way): void;
  changeSetup(change: Partial<WheelSetupContent>): void;
  /** The wheel was moved on the crank: the same pictures are read on in a place of their own. */
  beginAnew(): MovedPlace | null;
  /** Whether the place of a moved wheel counts on from the earlier one after all. */
  joinPlace(place: MovedPlace, isJoined: boolean, rows: readonly WheelSetup[]): void;
  stamp(stampId: string, atMs: number): void;
  reRead(picture: Blob, state: Uint8Array | null): Promise<WheelReading>;
  listen(listener: (message: FromWorker) => void): () => void;
  /** Straightened rings are made only while somebody listens, and only the part that is shown. */
  listenTape(listener: (ring: StraightenedRing) => void, band: RingBand): () => void;
  close(): void;
}

/** Joins pictures, worker and database for one mock-up; the screens only call it and draw its store. */
export function createSight(tools: SightTools): Sight {
  const store = createSightStore();
  const listeners = new Set<(message: FromWorker) => void>();
  const tapeListeners = new Map<(ring: StraightenedRing) => void, RingBand>();
  const reReads = createReReads((message) => worker.send(message));
  const keeper = createSetupKeeper(tools.client, tools.outbox);
  let readerState: Uint8Array | null = null;
  /** Kept set-up that waits for a picture of its size. */
  let keptSetup: WheelSetup | null = null;
  /** A camera may be quicker than the mock-up: until that is read, nobody knows whether a set-up was kept. */
  let areKeptSetupsKnown = false;
  /** The set-up given up for a new one, with the place where the crank was last held. */
  let leaving: LeftSetup | null = null;

  const worker = startWheelWorker(tools.makeWorker, {
    said: hear,
    restarted() {
      store.setState({ worker: { kind: 'restarting' }, live: null });
      reReads.giveUp('The reader was restarted: read it once more.');
      askForTape();
      const setup = store.getState().setup;
      if (readerState !== null) {
        worker.send({
          kind: 'restore',
          bytes: readerState,
          isTurnComplete: setup?.content.turnComplete ?? false,
        });
      } else if (['looking', 'found'].includes(store.getState().finding.kind)) find();
      pictures.sendFrames();
    },
    gaveUp(detail) {
      store.setState({ worker: { kind: 'gave_up', detail }, live: null });
    },
  });
  const pictures = createPictureSource({
    client: tools.client,
    media: tools.media,
    store,
    send: (message, transfer) => worker.send(message, transfer),
    begun: begin,
  });

  function askForTape(): void {
    worker.send({ kind: 'tape', band: [...tapeListeners.values()].at(-1) ?? null });
  }

  /** A picture is there: take the kept set-up up again, or look for the wheel. */
  function begin(): void {
    if (store.getState().setup !== null || !areKeptSetupsKnown) return;
    const kept = keptSetup;
    if (kept !== null && fitsPicture(kept)) void takeUp(kept);
    else find();
  }

  function fitsPicture(setup: WheelSetup): boolean {
    const { camera: state } = store.getState();
    return (
      state.kind === 'running' &&
      state.source.widthPx === setup.pictureWidthPx &&
      state.source.heightPx === setup.pictureHeightPx
    );
  }

  async function takeUp(setup: WheelSetup): Promise<void> {
    const { id } = setup;
    store.setState({
      setup: { id, content: contentOfRow(setup), info: placeholderInfo(setup) },
      finding: { kind: 'taken_up_again' },
    });
    const state = await keeper.stateOf(id);
    // Meanwhile the operator may have asked for a new search or drawn the rim.
    const { setup: now } = store.getState();
    if (now?.id !== id || readerState !== null) return;
    if (state === null) {
      find();
      return;
    }
    readerState = state;
    worker.send({ kind: 'restore', bytes: state, isTurnComplete: now.content.turnComplete });
  }

  function leave(): void {
    const { setup, earlier, lastHeldDeg } = store.getState();
    if (setup !== null) leaving = { setup, earlier, lastHeldDeg };
  }

  function find(): void {
    leave();
    readerState = null;
    store.setState({
      ...withoutSetup(store.getState()),
      finding: { kind: 'looking', tries: 0, reason: null, share: 0 },
    });
    worker.send({ kind: 'find' });
  }

  function hear(message: FromWorker): void {
    if (message.kind === 'frame_taken') pictures.frameTaken();
    if (message.kind === 're_read_done') reReads.answer(message);
    if (message.kind === 'set_up_made') leave();
    const before = store.getState();
    if (message.kind === 'frame_read' && message.tape !== null) {
      for (const listener of tapeListeners.keys()) listener(message.tape);
    }
    store.setState(heard(before, message));
    if (message.kind === 'set_up_made') keepNewSetup(message, before.setup);
    if (message.kind === 'calibrated') keepFit(message);
    if (message.kind === 'pointer_marked') keepReaderState(message.state);
    if (message.kind === 'not_restored') find();
    // A dropped outline counts once it lies on the rim: the set-up is made of the next frame.
    if (message.kind === 'snapped') worker.send({ kind: 'set_up', rim: message.rim });
    for (const listener of listeners) listener(message);
  }

  function keepNewSetup(message: Extract<FromWorker, { kind: 'set_up_made' }>, replaced: SetupInUse | null): void {
    readerState = message.state;
    const id = newId();
    const pictureId = newId();
    const { camera } = store.getState();
    const before = leaving?.setup.content ?? keptSetup;
    const content = {
      ...contentOfNewSetup(tools.mockUpId, camera, message, pictureId, before),
      // Only the outline was put right: camera, engine and crank end are the same.
      ...(message.isByHand && replaced !== null ? { forwards: replaced.content.forwards } : {}),
    };
    store.setState({
      setup: { id, content, info: message.info },
      earlier: leaving === null ? [] : earlierSetups(leaving, message.turnFromEarlierDeg),
    });
    leaving = null;
    keeper.keepNew(id, content, message.state, message.reference);
  }

  function keepFit(message: Extract<FromWorker, { kind: 'calibrated' }>): void {
    const { setup } = store.getState();
    if (setup !== null) keepWithState(contentAfterFit(setup.content, message), message.state);
  }

  function keepReaderState(state: Uint8Array): void {
    const { setup } = store.getState();
    if (setup !== null) keepWithState(setup.content, state);
  }

  function keepWithState(content: WheelSetupContent, state: Uint8Array): void {
    readerState = state;
    keep(content, state);
  }

  function keep(content: WheelSetupContent, state?: Uint8Array): void {
    const { setup } = store.getState();
    if (setup === null) return;
    store.setState({ setup: { ...setup, content } });
    keeper.keepChange(setup.id, content, state);
  }

  const takeFiles = createFileTaker({
    store,
    play: (file) => void pictures.playFile(file, file.name, 'recording'),
    read: (file, isMirrored) => reReads.read(file, null, isMirrored),
  });

  return {
    ...pictures,
    ...createRimByHand(store, (message) => worker.send(message)),
    store,
    takeFiles,
    setMirrored(isMirrored) {
      pictures.setMirrored(isMirrored);
      find();
    },
    find,
    stopFinding() {
      worker.send({ kind: 'stop_finding' });
      if (store.getState().finding.kind === 'looking') store.setState({ finding: { kind: 'stopped' } });
    },
    markPointer(atPx) {
      worker.send(atPx === null ? { kind: 'unmark_pointer' } : { kind: 'mark_pointer', atPx });
    },
    offerKeptSetups(setups) {
      keptSetup = latestCameraSetup(setups);
      const isFirst = !areKeptSetupsKnown;
      areKeptSetupsKnown = true;
      const state = store.getState();
      if (
        state.setup === null &&
        (keptSetup !== null || isFirst) &&
        state.camera.kind === 'running' &&
        // A wheel that is looked for, found, drawn or given up is the operator's own choice.
        state.finding.kind === 'idle'
      )
        begin();
    },
    carryOn(earlier, atDeg) {
      const { setup } = store.getState();
      store.setState({ earlier: [] });
      if (atDeg === null || setup === null) return;
      const { setupId: continuesSetupId, forwards } = earlier;
      // A number that was entered with the new set-up is newer.
      const shownAtReferenceDeg =
        setup.content.shownAtReferenceDeg ?? scaleCarriedOn(earlier.shownAtReferenceDeg, atDeg, forwards);
      const continuesAtDeg = wrapTurn(atDeg);
      keep({ ...setup.content, forwards, continuesSetupId, continuesAtDeg, shownAtReferenceDeg });
    },
    answerForwards(forwards) {
      const { setup } = store.getState();
      if (setup === null) return;
      // What the pointer shows was entered for the other way round, and an earlier set-up was carried on in that way.
      const isChanged = setup.content.forwards !== null && setup.content.forwards !== forwards;
      const ofOtherWay = { shownAtReferenceDeg: null, continuesSetupId: null, continuesAtDeg: null };
      keep({ ...setup.content, forwards, ...(isChanged ? ofOtherWay : {}) });
    },
    changeSetup(change) {
      const { setup } = store.getState();
      if (setup !== null) keep({ ...setup.content, ...change });
    },
    beginAnew() {
      const { setup } = store.getState();
      if (setup === null) return null;
      const id = newId();
      const content = contentAfterMove(setup.content);
      const sameReferenceIds = [...(setup.sameReferenceIds ?? []), setup.id];
      store.setState({ setup: { ...setup, id, content, sameReferenceIds }, earlier: [] });
      keeper.keepFurther(id, content, readerState, setup.id);
      return { setupId: id, earlierId: setup.id, shownAtReferenceDeg: setup.content.shownAtReferenceDeg };
    },
    joinPlace(place, isJoined, rows) {
      const { setup } = store.getState();
      if (setup?.id === place.setupId) {
        keep(contentJoined(setup.content, place, isJoined));
        return;
      }
      // Another set-up is in use by now.
      const row = rows.find(({ id }) => id === place.setupId);
      if (row !== undefined) keeper.keepChange(row.id, contentJoined(contentOfRow(row), place, isJoined));
    },
    stamp(stampId, atMs) {
      worker.send({ kind: 'stamp', stampId, atMs });
    },
    reRead: (picture, state) => reReads.read(picture, state, false),
    listen(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    listenTape(listener, band) {
      tapeListeners.set(listener, band);
      askForTape();
      return () => {
        tapeListeners.delete(listener);
        askForTape();
      };
    },
    close() {
      pictures.close();
      worker.close();
    },
  };
}
