import { renderToStaticMarkup } from 'react-dom/server';
import { describe, expect, it } from 'vitest';
import { StackDrawing, type StackState, stackHeights } from '../../../renderer/drawings/stack-drawing.tsx';

const now: StackState = { baseGasketMm: 0.45, headGasketMm: 0.5, deckMm: 0.3, squishMm: 0.95, clearanceVolumeCc: 12.6 };
const planned: StackState = { ...now, baseGasketMm: 0.72, deckMm: 0.57, squishMm: 1.22 };
const lengthText = (valueMm: number) => `${valueMm.toFixed(2)} mm`;

describe('the stack cut open', () => {
  it('moves the barrel and the head against the crown, in proportion to the gaps', () => {
    const [before, after] = [stackHeights(now), stackHeights(planned)];
    const perMm = (before.barrelTop - after.barrelTop) / 0.27;
    expect(perMm).toBeGreaterThan(5);
    expect((before.squishFace - after.squishFace) / 0.27).toBeCloseTo(perMm, 6);
    expect((before.headFace - after.headFace) / 0.27).toBeCloseTo(perMm, 6);
    expect((before.baseTop - after.baseTop) / 0.27).toBeCloseTo(perMm, 6);
  });

  it('draws a proud piston above the barrel, and nothing where there is no gasket', () => {
    const proud = stackHeights({ ...now, deckMm: -0.2, headGasketMm: 0 });
    expect(proud.barrelTop).toBeGreaterThan(stackHeights({ ...now, deckMm: 0 }).barrelTop);
    expect(proud.headFace).toBe(proud.barrelTop);
  });

  it('says every size in words on both sides, and what is not known', () => {
    const markup = renderToStaticMarkup(
      <StackDrawing
        now={{ ...now, deckMm: null, headGasketMm: null }}
        planned={planned}
        title="Stack"
        lengthText={lengthText}
        isInteractive
      />,
    );
    expect(markup).toContain('aria-label="As it stands: deck not measured"');
    expect(markup).toContain('aria-label="As it stands: head gasket not given"');
    expect(markup).toContain('aria-label="As planned: squish 1.22 mm"');
    expect([...markup.matchAll(/tabindex="0"/g)]).toHaveLength(8);
  });

  it('shows one half while nothing is planned', () => {
    const markup = renderToStaticMarkup(
      <StackDrawing now={now} planned={null} title="Stack" lengthText={lengthText} />,
    );
    expect(markup).toContain('nothing planned yet');
    expect(markup).not.toContain('As planned');
    expect(markup).not.toContain('tabindex');
  });

  it('is drawn as kept', async () => {
    await expect(
      renderToStaticMarkup(
        <StackDrawing now={now} planned={planned} title="Stack" lengthText={lengthText} printedWidth="170mm" />,
      ),
    ).toMatchFileSnapshot('snapshots/stack-drawing.svg');
  });
});
