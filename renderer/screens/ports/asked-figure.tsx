import { shownExpanded, shownFigure } from '../../parts/figure-words.ts';
import type { ShownSizes } from '../../parts/shown-size.ts';
import type { FoundFigure } from '../../state/found-figures.ts';

interface FigureProps {
  readonly figure: FoundFigure;
  readonly title: string;
  readonly shown: ShownSizes;
  readonly onOrigin: (figure: FoundFigure) => void;
  /** The column names the unit. */
  readonly isBare?: boolean;
}

/** A number that can be asked where it comes from, and its U. */
export function AskedFigure({ figure, title, shown, onOrigin, isBare = false }: FigureProps) {
  const { item, value } = figure;
  const text = shownFigure(item, value.value, shown);
  return (
    <>
      <button
        type="button"
        className="number-button"
        aria-label={`${title} ${text}: where does it come from`}
        onClick={() => onOrigin(figure)}
      >
        {isBare ? text.split(' ')[0] : text}
      </button>{' '}
      {value.sigma === 0 ? null : <span className="muted">± {shownExpanded(item, value.sigma, shown)}</span>}
    </>
  );
}

/** Nothing measured yet. */
export function Open() {
  return <span className="muted">open</span>;
}
