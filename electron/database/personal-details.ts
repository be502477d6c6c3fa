/** A customer's name and contact: which texts they are, which sheets may hold them, and how they are blanked there. */
import type { Id } from '../../core/contract/basics.ts';
import type { BookReader } from './connection.ts';

/** What stands in the place of removed details, in the book, on kept sheets and in archives without customers. */
export const removedDetails = '(details removed)';

/** A customer's record without the person. */
export const blankContent = { name: removedDetails, contact: '' };

type Reader = Pick<BookReader, 'all'>;

/**
 * Builds with each customer that they have or ever had: a sheet names the one of its day.
 * @returns ids of customers by the id of the build
 */
export function customersOfBuilds(reader: Reader): Map<Id, Set<Id>> {
  const rows = reader.all<{ build_id: Id; customer_id: Id }>(
    `SELECT id AS build_id, customer_id FROM build WHERE customer_id IS NOT NULL
     UNION SELECT row_id, content_before ->> 'customerId' FROM change_log
       WHERE entity = 'build' AND content_before ->> 'customerId' IS NOT NULL
     UNION SELECT row_id, content_after ->> 'customerId' FROM change_log
       WHERE entity = 'build' AND content_after ->> 'customerId' IS NOT NULL`,
  );
  const found = new Map<Id, Set<Id>>();
  for (const { build_id, customer_id } of rows) {
    found.set(build_id, (found.get(build_id) ?? new Set<Id>()).add(customer_id));
  }
  return found;
}

/** Everything that the record and its earlier versions say of each person, the longest text first. */
export function textsOfCustomers(reader: Reader): Map<Id, readonly string[]> {
  const rows = reader.all<{ id: Id; content: string }>(
    'SELECT id, content FROM customer UNION SELECT customer_id, content FROM customer_version',
  );
  const found = new Map<Id, Set<string>>();
  for (const { id, content } of rows) {
    const texts = found.get(id) ?? new Set<string>();
    for (const detail of Object.values(JSON.parse(content) as Record<string, string>)) {
      const text = detail.trim();
      if (text !== '' && text !== removedDetails) texts.add(text);
    }
    found.set(id, texts);
  }
  // The longer name first: "Ada Quill" must not leave "-Moss" behind.
  return new Map(
    [...found].map(([id, texts]) => [id, [...texts].sort((first, second) => second.length - first.length)]),
  );
}

export interface PersonalTexts {
  readonly html: string;
  /** JSON text. */
  readonly snapshot: string;
  readonly title: string;
}

/** The same page, its data and its title without these details; what is no detail stays as it is, to the letter. */
export function withoutDetails<Page extends PersonalTexts>(page: Page, details: readonly string[]): Page {
  if (details.length === 0) return page;
  const inHtml = details.map((detail) => patternOf(detail, true));
  const inText = details.map((detail) => patternOf(detail, false));
  const blank = (text: string, patterns: readonly RegExp[]) =>
    patterns.reduce((rest, pattern) => rest.replace(pattern, removedDetails), text);
  const snapshot = blankStrings(JSON.parse(page.snapshot), (text) => blank(text, inText));
  return {
    ...page,
    html: blank(page.html, inHtml),
    snapshot:
      JSON.stringify(snapshot) === JSON.stringify(JSON.parse(page.snapshot)) ? page.snapshot : JSON.stringify(snapshot),
    title: blank(page.title, inText).slice(0, longestTitle),
  };
}
const longestTitle = 200;

/** A plain value, such as an unfinished draft, without these details. */
export function valueWithoutDetails(value: unknown, details: readonly string[]): unknown {
  const patterns = details.map((detail) => patternOf(detail, false));
  return blankStrings(value, (text) => patterns.reduce((rest, pattern) => rest.replace(pattern, removedDetails), text));
}

function blankStrings(value: unknown, blank: (text: string) => string): unknown {
  if (typeof value === 'string') return blank(value);
  if (Array.isArray(value)) return value.map((inner) => blankStrings(inner, blank));
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, blankStrings(inner, blank)]));
}

/** What a character may be written as on a page. */
const inPages: Readonly<Record<string, string>> = {
  '&': '(?:&amp;|&)',
  '<': '(?:&lt;|<)',
  '>': '(?:&gt;|>)',
  '"': '(?:&quot;|&#34;|&#x22;|")',
  "'": "(?:&#x27;|&#39;|&apos;|')",
};

/**
 * A detail as a whole: "Max" doesn't stand in "Maximum". A text that tells nobody apart, such as a contact "12", is only
 * taken for the detail where nothing else stands beside it: figures of a sheet must stay.
 */
function patternOf(detail: string, isHtml: boolean): RegExp {
  const text = [...detail]
    .map((character) => {
      if (/\s/.test(character)) return '\\s+';
      const plain = character.replaceAll(/[\\^$.*+?()[\]{}|/]/g, '\\$&');
      return isHtml ? (inPages[character] ?? plain) : plain;
    })
    .join('');
  if (!isTelling(detail)) return new RegExp(isHtml ? `(?<=>\\s*)${text}(?=\\s*<)` : `^\\s*${text}\\s*$`, 'gu');
  return new RegExp(`(?<![\\p{L}\\p{N}])${text}(?![\\p{L}\\p{N}])`, 'gu');
}

function isTelling(detail: string): boolean {
  return (detail.match(/\p{L}/gu)?.length ?? 0) >= 2 || (detail.match(/\p{N}/gu)?.length ?? 0) >= 5;
}
