import './help.css';
import { Notice } from '../../parts/controls.tsx';
import { formatRoute } from '../../state/route.ts';
import { helpPages, printedWheelPage } from './pages.ts';
import { PrintWheel } from './print-wheel.tsx';

/** The manual: short pages, one subject each. */
export function HelpScreen({ page }: { page: string }) {
  const shown = helpPages.find((one) => one.id === page) ?? helpPages[0];
  if (shown === undefined) return null;
  return (
    <div className="desk help">
      <nav aria-label="Pages of the manual" className="help-list">
        <ul>
          {helpPages.map((one) => (
            <li key={one.id}>
              <a
                href={formatRoute({ screen: 'help', page: one.id })}
                aria-current={one.id === shown.id ? 'page' : undefined}
              >
                <strong>{one.title}</strong>
                <span>{one.summary}</span>
              </a>
            </li>
          ))}
        </ul>
      </nav>
      <article className="help-page">
        <h1>{shown.title}</h1>
        {shown.parts.map((part) => (
          <section key={part.heading} className="stack">
            <h2>{part.heading}</h2>
            {part.text.map((paragraph) => (
              <p key={paragraph}>{paragraph}</p>
            ))}
            {part.steps === undefined ? null : (
              <ol>
                {part.steps.map((step) => (
                  <li key={step}>{step}</li>
                ))}
              </ol>
            )}
            {part.caution === undefined ? null : <Notice tone="caution">{part.caution}</Notice>}
          </section>
        ))}
        {shown.id === printedWheelPage ? <PrintWheel /> : null}
      </article>
    </div>
  );
}
