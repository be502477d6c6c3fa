/** What a file that was dropped or chosen can be used for. */
export type DroppedFile =
  | { readonly kind: 'recording' }
  | { readonly kind: 'still' }
  | { readonly kind: 'refused'; readonly what: string; readonly remedy: string };

/** What file choosers offer. */
export const acceptedFiles = 'video/webm,video/mp4,video/ogg,.webm,.mp4,.m4v,.ogv,image/jpeg,image/png';

const stillEndings: ReadonlySet<string> = new Set(['jpg', 'jpeg', 'png']);
const recordingEndings: ReadonlySet<string> = new Set(['webm', 'mp4', 'm4v', 'ogv']);
/** Pictures that people bring from telephones and cameras and that browsers don't decode, by ending. */
const otherPictures: Readonly<Record<string, string>> = {
  heic: 'HEIC',
  heif: 'HEIF',
  tif: 'TIFF',
  tiff: 'TIFF',
  bmp: 'BMP',
  gif: 'GIF',
  webp: 'WebP',
  avif: 'AVIF',
  dng: 'camera raw (DNG)',
  raw: 'camera raw',
};
const otherRecordings: Readonly<Record<string, string>> = {
  avi: 'AVI',
  mov: 'QuickTime (MOV)',
  mkv: 'Matroska (MKV)',
  wmv: 'Windows Media (WMV)',
  mjpeg: 'bare Motion-JPEG',
  mjpg: 'bare Motion-JPEG',
  y4m: 'uncompressed (Y4M)',
  mts: 'AVCHD (MTS)',
  m2ts: 'AVCHD (M2TS)',
  '3gp': '3GP',
  flv: 'Flash video (FLV)',
};
/** Pages and papers, which people drop because a picture lies in them. */
const documents: Readonly<Record<string, string>> = {
  pdf: 'a PDF document',
  txt: 'a text file',
  csv: 'a table (CSV)',
  svg: 'a drawing (SVG)',
  doc: 'a word processor’s document (DOC)',
  docx: 'a word processor’s document (DOCX)',
  odt: 'a word processor’s document (ODT)',
  zip: 'an archive (ZIP)',
};

export const convertRecording =
  'Convert it to WebM or MP4, for instance with: ffmpeg -i IN -c:v libvpx-vp9 -b:v 0 -crf 18 OUT.webm';
export const convertPicture = 'Save it as JPEG or PNG in a picture program, unscaled and uncropped, and drop it again.';
export const takeOutPictures =
  'Only recordings and pictures are read: take the pictures of the wheel out of it, save them as JPEG or PNG, unscaled and uncropped, and drop those.';

/** Judges by what the system says of the file, and by its ending where that says nothing. */
export function droppedFile(name: string, mimeType: string): DroppedFile {
  const ending = /\.([^.]+)$/.exec(name.toLowerCase())?.[1] ?? '';
  const recording = otherRecordings[ending];
  if (recording !== undefined) {
    return { kind: 'refused', what: `${name} is ${recording}, which can’t be played here.`, remedy: convertRecording };
  }
  const picture = otherPictures[ending];
  if (picture !== undefined) {
    return { kind: 'refused', what: `${name} is ${picture}, which isn’t read here.`, remedy: convertPicture };
  }
  if (mimeType === 'image/jpeg' || mimeType === 'image/png' || stillEndings.has(ending)) return { kind: 'still' };
  if (mimeType.startsWith('video/') || recordingEndings.has(ending)) return { kind: 'recording' };
  const document = documents[ending];
  if (document !== undefined) return { kind: 'refused', what: `${name} is ${document}.`, remedy: takeOutPictures };
  const format =
    ending === '' ? 'has no ending that tells its format' : `is a “.${ending}” file, a format not read here`;
  return {
    kind: 'refused',
    what: `${name} ${format}.`,
    remedy: `A recording: ${lowerFirst(convertRecording)} A picture: ${lowerFirst(convertPicture)}`,
  };
}

function lowerFirst(sentence: string): string {
  return sentence.charAt(0).toLowerCase() + sentence.slice(1);
}
