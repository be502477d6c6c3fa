import type { Handlers } from '../../core/contract/dispatch.ts';
import { printableWheel } from '../wheel-sheet/printable-wheel.ts';

export function wheelSheetHandlers(): Pick<Handlers, 'wheelSheet.make'> {
  return {
    async 'wheelSheet.make'(wishes) {
      const { fileName, pdf } = printableWheel(wishes);
      return { fileName, bytes: Buffer.from(pdf).toString('base64') };
    },
  };
}
