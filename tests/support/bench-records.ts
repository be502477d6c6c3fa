import { type MockUpWhole, mockUpWholeSchema } from '../../core/contract/messages.ts';
import type { Port, Specification } from '../../core/contract/parts.ts';
import type { AngleReading, Edge, MarkKind, Reading, ReadingMark, Turning } from '../../core/contract/readings.ts';

/** Ids and times in the order in which they are asked for, so that rows made later sort later. */
export class BenchRecords {
  private made = 0;
  readonly workplaceId = this.id();

  id(): string {
    this.made += 1;
    return `01890000-0000-7000-8000-${this.made.toString(16).padStart(12, '0')}`;
  }

  private row(): { id: string; workplaceId: string; createdAt: string } {
    const id = this.id();
    return {
      id,
      workplaceId: this.workplaceId,
      createdAt: new Date(1_795_000_000_000 + this.made * 1000).toISOString(),
    };
  }

  /** A mock-up without readings: stroke 54.5, rod 110, one exhaust and one group of transfers unless given. */
  mockUp(
    options: {
      ports?: readonly Partial<Port>[];
      specifications?: Specification[];
      offsetMm?: number;
      forwards?: 'clockwise' | 'anticlockwise';
    } = {},
  ): MockUpWhole {
    const ports = options.ports ?? [
      { portId: 'e', kind: 'exhaust', label: 'Exhaust' },
      { portId: 't', kind: 'transfer_main', label: 'Transfers', windowCount: 4 },
    ];
    const build = { ...this.row(), title: 'Kart 7' };
    const engine = {
      ...this.row(),
      kind: 'engine',
      name: 'Kart engine',
      data: { strokeMm: 54.5, rodLengthMm: 110, cylinderOffset: { mm: options.offsetMm ?? 0, side: 'swing_side' } },
    };
    const barrel = { ...this.row(), kind: 'barrel', name: 'Barrel A', data: { ports } };
    const mockUp = {
      ...this.row(),
      buildId: build.id,
      name: 'First',
      engineId: engine.id,
      barrelId: barrel.id,
      specifications: options.specifications ?? [],
    };
    const setup = { ...this.row(), mockUpId: mockUp.id, forwards: options.forwards ?? 'clockwise', by: 'camera' };
    return mockUpWholeSchema.parse({
      mockUp,
      build,
      customer: null,
      engine,
      barrel,
      piston: null,
      head: null,
      baseGasket: null,
      headGasket: null,
      setups: [setup],
      readings: [],
      marks: [],
    });
  }

  /** Camera angle of a mock-up's first set-up. */
  camera(whole: MockUpWhole, rotationDeg: number, modulusDeg = 360): AngleReading {
    const setupId = whole.setups[0]?.id ?? '';
    return { by: 'camera', setupId, rotationDeg, sigmaDeg: 0.005, modulusDeg, provisional: false };
  }

  private reading(whole: MockUpWhole, subject: Reading['subject'], supersedesId: string | null = null): Reading {
    const row = this.row();
    return {
      ...row,
      mockUpId: whole.mockUp.id,
      benchRunId: null,
      subject,
      signal: 'key',
      takenAt: row.createdAt,
      measuredBy: '',
      pictureId: null,
      secondPictureId: null,
      supersedesId,
      supersedesReason: '',
      note: '',
    };
  }

  stop(whole: MockUpWhole, turning: Turning, angle: AngleReading): Reading {
    return this.reading(whole, { what: 'stop_contact', turning, stopDepthMm: null, angle });
  }

  check(whole: MockUpWhole, turning: Turning, angle: AngleReading): Reading {
    return this.reading(whole, { what: 'tdc_check', turning, angle });
  }

  edge(
    whole: MockUpWhole,
    portId: string,
    edge: Edge,
    turning: Turning,
    angle: AngleReading,
    options: { bladeMm?: number; supersedesId?: string } = {},
  ): Reading {
    const criterion =
      options.bladeMm === undefined
        ? { kind: 'first_light' as const, thicknessMm: 0 }
        : { kind: 'blade' as const, thicknessMm: options.bladeMm };
    return this.reading(
      whole,
      { what: 'port_edge', portId, edge, turning, criterion, angle },
      options.supersedesId ?? null,
    );
  }

  /** A reading of a hand instrument; read to a hundredth unless told otherwise. */
  quantity(
    whole: MockUpWhole,
    quantity: string,
    value: number,
    options: {
      position?: string;
      unit?: string;
      resolution?: number | null;
      instrumentId?: string;
      note?: string;
      supersedesId?: string;
    } = {},
  ): Reading {
    const { position = '', unit = 'mm', resolution = 0.01, instrumentId = null } = options;
    const typedText = String(value);
    const read = this.reading(
      whole,
      { what: 'quantity', quantity, position, value, unit, typedText, resolution, instrumentId, fromTo: null },
      options.supersedesId ?? null,
    );
    return { ...read, note: options.note ?? '' };
  }

  mark(reading: Reading, mark: MarkKind, reason = 'test'): ReadingMark {
    return { ...this.row(), readingId: reading.id, mark, reason };
  }
}
