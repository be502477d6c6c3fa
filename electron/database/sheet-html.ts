import { InputError } from '../../core/errors.ts';

const allowedElements = new Set(
  (
    'html head meta title style body main section article header footer aside nav div span p br hr wbr a abbr b strong i em u s small sub sup ' +
    'code pre blockquote ul ol li dl dt dd table caption colgroup col thead tbody tfoot tr th td figure figcaption img time ' +
    'h1 h2 h3 h4 h5 h6 svg g defs symbol use path line polyline polygon rect circle ellipse text tspan textpath title desc ' +
    'clippath mask pattern marker lineargradient radialgradient stop'
  ).split(' '),
);
const addressAttributes = new Set(['href', 'xlink:href', 'src']);
const forbiddenAttributes = new Set([
  'srcset',
  'action',
  'formaction',
  'poster',
  'background',
  'ping',
  'srcdoc',
  'data',
  'http-equiv',
]);
const dataPicture = /^data:image\/(png|jpeg|webp);base64,[a-z0-9+/=\s]*$/i;
const tagPattern =
  /^<(\/?)([a-z][a-z0-9:-]*)((?:\s+[^\s"'<>/=]+(?:\s*=\s*(?:"[^"]*"|'[^']*'|[^\s"'=<>`]+))?)*)\s*(\/?)>/i;
const attributePattern = /([^\s"'<>/=]+)(?:\s*=\s*(?:"([^"]*)"|'([^']*)'|([^\s"'=<>`]+)))?/g;

function refuse(value: string, message: string): never {
  throw new InputError({
    code: 'out_of_range',
    field: 'html',
    value: value.slice(0, 80),
    allowed: 'plain elements, styles and drawings without scripts and without addresses outside the page',
    message: `The sheet can't be kept: ${message}`,
  });
}

/** Character references are undone before an address or a style is judged, else `&#106;avascript:` gets by. */
function decoded(text: string): string {
  return text
    .replace(/&#x([0-9a-f]{1,6});?/gi, (_, hex: string) => codePoint(Number.parseInt(hex, 16)))
    .replace(/&#(\d{1,7});?/g, (_, digits: string) => codePoint(Number(digits)))
    .replace(/&quot;/gi, '"')
    .replace(/&amp;/gi, '&');
}
function codePoint(value: number): string {
  return value > 0x10ffff ? '\ufffd' : String.fromCodePoint(value);
}

function checkStyle(css: string): void {
  const plain = decoded(css).replaceAll(/\/\*[\s\S]*?\*\//g, '');
  if (plain.includes('\\')) refuse(css, 'its styles use escapes.');
  if (/@import|@charset|expression\s*\(|-moz-binding|behavior\s*:/i.test(plain)) refuse(css, 'its styles load others.');
  for (const found of plain.matchAll(/(url|image|image-set|src)\s*\(\s*(["']?)([^)"']*)/gi)) {
    const address = (found[3] ?? '').trim();
    const isOwn =
      address.startsWith('#') ||
      /^data:(image\/(png|jpeg|webp)|font\/woff2|application\/font-woff2?)[;,]/i.test(address);
    if (!isOwn) refuse(address, 'its styles point outside the page.');
  }
}

function checkAttributes(element: string, text: string): void {
  for (const [, rawName = '', double, single, bare] of text.matchAll(attributePattern)) {
    const name = rawName.toLowerCase();
    const value = decoded(double ?? single ?? bare ?? '');
    if (name.startsWith('on')) refuse(name, 'it holds a script.');
    if (forbiddenAttributes.has(name)) refuse(name, `the attribute ${name} is not allowed.`);
    if (name === 'style') checkStyle(value);
    else if (/url\s*\(/i.test(value)) checkStyle(value);
    if (addressAttributes.has(name) && !value.startsWith('#')) {
      if (!(element === 'img' || element === 'image') || !dataPicture.test(value)) {
        refuse(value, 'it points outside the page.');
      }
    }
  }
}

/**
 * Lets only self-contained pages through: no scripts, no event attributes, nothing loaded from outside.
 * Markup that isn't written plainly is refused and never repaired, since a browser might repair it otherwise.
 * @throws InputError `out_of_range` on the field `html`
 */
export function checkSheetHtml(html: string): void {
  let position = 0;
  while (position < html.length) {
    const next = html.indexOf('<', position);
    if (next < 0) return;
    const rest = html.slice(next, next + 4);
    if (html.slice(next, next + 9).toLowerCase() === '<!doctype') {
      const end = html.indexOf('>', next);
      if (end < 0 || !/^<!doctype html>$/i.test(html.slice(next, end + 1)))
        refuse(html.slice(next), 'its document type is not plain HTML.');
      position = end + 1;
      continue;
    }
    if (rest === '<!--') refuse(html.slice(next), 'it holds a comment.');
    const tag = tagPattern.exec(tagText(html, next));
    if (tag === null) refuse(html.slice(next), 'its markup is not written plainly.');
    const [whole, closing, name = '', attributes = ''] = tag;
    const element = name.toLowerCase();
    if (!allowedElements.has(element) && element !== 'image') refuse(name, `the element ${element} is not allowed.`);
    checkAttributes(element, attributes);
    position = next + whole.length;
    if (element === 'style' && closing === '') {
      const end = html.toLowerCase().indexOf('</style', position);
      if (end < 0) refuse(whole, 'a style is not closed.');
      const css = html.slice(position, end);
      if (css.includes('<')) refuse(css, 'a style holds markup.');
      checkStyle(css);
      position = end;
    }
  }
}

/** The text of one tag: up to the first `>` outside quotes. */
function tagText(html: string, start: number): string {
  let quote = '';
  for (let at = start; at < html.length; at += 1) {
    const character = html[at] as string;
    if (quote !== '') {
      if (character === quote) quote = '';
    } else if (character === '"' || character === "'") quote = character;
    else if (character === '>') return html.slice(start, at + 1);
  }
  return html.slice(start);
}
