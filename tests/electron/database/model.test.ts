import fc from 'fast-check';
import { v7 } from 'uuid';
import { describe, expect, it } from 'vitest';
import { makeMockUp, openTestBook, quantityReading, type TestBook } from '../../support/book.ts';

/** What the book must hold, kept beside it in the plainest way. */
interface Model {
  readings: { id: string; value: number; supersedesId: string | null }[];
  marks: { readingId: string; mark: string }[];
  title: string;
}

interface Real {
  book: TestBook;
  mockUpId: string;
  buildId: string;
}

async function agree(model: Model, { book, mockUpId, buildId }: Real): Promise<void> {
  const whole = await book.client.call('mockUp.whole', { id: mockUpId });
  expect(
    whole.readings.map(({ id, subject, supersedesId }) => ({
      id,
      value: subject.what === 'quantity' ? subject.value : null,
      supersedesId,
    })),
  ).toEqual(model.readings);
  expect(whole.marks.map(({ readingId, mark }) => ({ readingId, mark }))).toEqual(model.marks);
  expect((await book.client.call('build.whole', { id: buildId })).build.title).toBe(model.title);
  expect((await book.client.call('book.list', {})).rows[0]?.readings).toBe(model.readings.length);
}

type Command = fc.AsyncCommand<Model, Real>;

class Stamp implements Command {
  readonly value: number;
  readonly isSentTwice: boolean;
  constructor(value: number, isSentTwice: boolean) {
    this.value = value;
    this.isSentTwice = isSentTwice;
  }
  check = () => true;
  async run(model: Model, real: Real) {
    const reading = quantityReading(real.mockUpId, this.value);
    await real.book.client.call('reading.add', { reading });
    if (this.isSentTwice) await real.book.client.call('reading.add', { reading });
    model.readings.push({ id: reading.id, value: this.value, supersedesId: null });
    await agree(model, real);
  }
  toString = () => `stamp ${this.value}${this.isSentTwice ? ' twice' : ''}`;
}

class Mark implements Command {
  readonly mark: 'struck' | 'restored' | 'doubtful' | 'trusted';
  readonly place: number;
  constructor(mark: Mark['mark'], place: number) {
    this.mark = mark;
    this.place = place;
  }
  check = (model: Readonly<Model>) => model.readings.length > 0;
  async run(model: Model, real: Real) {
    const readingId = model.readings[this.place % model.readings.length]?.id ?? '';
    await real.book.client.call('reading.mark', { readingIds: [readingId], mark: this.mark, reason: '' });
    model.marks.push({ readingId, mark: this.mark });
    await agree(model, real);
  }
  toString = () => `mark ${this.mark} ${this.place}`;
}

class Correct implements Command {
  readonly value: number;
  readonly place: number;
  constructor(value: number, place: number) {
    this.value = value;
    this.place = place;
  }
  check = (model: Readonly<Model>) => model.readings.length > 0;
  async run(model: Model, real: Real) {
    const supersedesId = model.readings[this.place % model.readings.length]?.id ?? '';
    const reading = quantityReading(real.mockUpId, this.value, { supersedesId, supersedesReason: 'mistyped' });
    await real.book.client.call('reading.add', { reading });
    model.readings.push({ id: reading.id, value: this.value, supersedesId });
    await agree(model, real);
  }
  toString = () => `correct ${this.place} to ${this.value}`;
}

class Rename implements Command {
  readonly title: string;
  constructor(title: string) {
    this.title = title;
  }
  check = () => true;
  async run(model: Model, real: Real) {
    const { build } = await real.book.client.call('build.whole', { id: real.buildId });
    const { id, workplaceId: _, createdAt: __, ...content } = build;
    await real.book.client.call('build.update', { id, content: { ...content, title: this.title } });
    model.title = this.title.trim();
    await agree(model, real);
  }
  toString = () => `rename ${JSON.stringify(this.title)}`;
}

class RefusedStamp implements Command {
  check = () => true;
  async run(model: Model, real: Real) {
    const reading = quantityReading(real.mockUpId, 1, { pictureId: v7() });
    await expect(real.book.client.call('reading.add', { reading })).rejects.toMatchObject({
      code: 'unknown_reference',
    });
    await agree(model, real);
  }
  toString = () => 'a stamp whose picture is missing';
}

class BackUpAndRestore implements Command {
  check = () => true;
  async run(model: Model, real: Real) {
    const { name } = await real.book.client.call('backup.make', {});
    await real.book.client.call('reading.add', { reading: quantityReading(real.mockUpId, 99) });
    await real.book.client.call('backup.restore', { name });
    await agree(model, real);
  }
  toString = () => 'back up, stamp, restore';
}

class Restart implements Command {
  check = () => true;
  async run(model: Model, real: Real) {
    real.book.books.close();
    real.book = await openTestBook({ folder: real.book.folder });
    await agree(model, real);
  }
  toString = () => 'restart';
}

describe('any sequence of stamps, marks, corrections, renamings, refusals, restores and restarts', () => {
  it('leaves the book as the plain model says', { timeout: 120_000 }, async () => {
    const values = fc
      .double({ noNaN: true, noDefaultInfinity: true, min: -1e6, max: 1e6 })
      .map((value) => (Object.is(value, -0) ? 0 : value));
    const commands = [
      fc.tuple(values, fc.boolean()).map(([value, twice]) => new Stamp(value, twice)),
      fc
        .tuple(
          fc.constantFrom('struck' as const, 'restored' as const, 'doubtful' as const, 'trusted' as const),
          fc.nat(50),
        )
        .map(([mark, place]) => new Mark(mark, place)),
      fc.tuple(values, fc.nat(50)).map(([value, place]) => new Correct(value, place)),
      fc
        .string({ minLength: 1, maxLength: 60 })
        .filter((title) => title.trim() !== '')
        .map((title) => new Rename(title)),
      fc.constant(new RefusedStamp()),
      fc.constant(new BackUpAndRestore()),
      fc.constant(new Restart()),
    ];
    await fc.assert(
      fc.asyncProperty(fc.commands(commands, { maxCommands: 25 }), async (sequence) => {
        const book = await openTestBook();
        const { mockUp, build } = await makeMockUp(book.client);
        const real: Real = { book, mockUpId: mockUp.id, buildId: build.id };
        await fc.asyncModelRun(() => ({ model: { readings: [], marks: [], title: build.title }, real }), sequence);
        real.book.books.close();
      }),
      { numRuns: 25, seed: 20_260_301 },
    );
  });
});
