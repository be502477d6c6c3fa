import { describe, expect, test } from 'vitest';
import { droppedFile } from '../../../renderer/camera/dropped-file.ts';

describe('what a dropped file can be used for', () => {
  test.each([
    ['turn.webm', 'video/webm', 'recording'],
    ['TURN.MP4', '', 'recording'],
    ['wheel.jpg', 'image/jpeg', 'still'],
    ['wheel.JPEG', '', 'still'],
    ['wheel.png', 'image/png', 'still'],
    ['no-ending', 'image/png', 'still'],
    ['no-ending', 'video/mp4', 'recording'],
  ])('%s (%s) is a %s', (name, mimeType, kind) => {
    expect(droppedFile(name, mimeType).kind).toBe(kind);
  });

  test.each([
    ['turn.avi', 'video/x-msvideo', /^turn\.avi is AVI,/, /^Convert it to WebM or MP4/],
    ['turn.mov', 'video/quicktime', /QuickTime \(MOV\)/, /^Convert it to WebM or MP4/],
    ['wheel.HEIC', '', /^wheel\.HEIC is HEIC,/, /^Save it as JPEG or PNG/],
    ['wheel.tif', 'image/tiff', /is TIFF,/, /^Save it as JPEG or PNG/],
    ['sheet.pdf', 'application/pdf', /is a PDF document\./, /save them as JPEG or PNG/],
    ['notes.txt', 'text/plain', /is a text file\./, /save them as JPEG or PNG/],
    ['wheel.xcf', 'image/x-xcf', /is a “\.xcf” file/, /convert it to WebM or MP4.*save it as JPEG or PNG/],
    ['wheel', '', /no ending that tells its format/, /convert it to WebM or MP4.*save it as JPEG or PNG/],
  ])('%s is refused by the name of its format, with a way to convert it', (name, mimeType, what, remedy) => {
    const use = droppedFile(name, mimeType);
    if (use.kind !== 'refused') throw new Error(`${name} was taken as a ${use.kind}`);
    expect(use.what).toMatch(what);
    expect(use.remedy).toMatch(remedy);
  });
});
