import { type MockUpSizes, mockUpFigures } from '../../../core/planner/mock-up-figures.ts';
import { isExhaust } from '../../../core/ports/kinds.ts';
import { type Advice, adviceCaution } from '../../../core/rules-of-thumb/rule.ts';
import {
  blowdownAdvice,
  exhaustWidthAdvice,
  transferDurationAdvice,
} from '../../../core/rules-of-thumb/trade-figures.ts';

/** What the trade says for figures like these; stands beside them and judges nothing. */
export function RulesOfThumb({ sizes }: { sizes: MockUpSizes }) {
  const advice = adviceFor(sizes);
  if (advice.length === 0) return null;
  return (
    <section className="panel" aria-label="Rules of thumb">
      <h2>Rules of thumb, for comparison</h2>
      <ul className="plan-rules">
        {advice.map(({ ruleId, title, statement, source }) => (
          <li key={ruleId}>
            <strong>{title}:</strong> {statement} <span className="muted">Source: {source}.</span>
          </li>
        ))}
      </ul>
      <p className="small muted">{adviceCaution}</p>
    </section>
  );
}

export function adviceFor(sizes: MockUpSizes): readonly Advice[] {
  const figures = mockUpFigures(sizes);
  const exhausts = figures.ports.filter(({ kind }) => isExhaust(kind)).flatMap(({ durationDeg }) => durationDeg ?? []);
  const single = sizes.ports.some(({ kind, windowCount = 1 }) => kind === 'exhaust' && windowCount === 1);
  return [
    ...(exhausts.length === 0 ? [] : [blowdownAdvice(Math.max(...exhausts))]),
    ...(sizes.speedRpm === undefined ? [] : [transferDurationAdvice(sizes.speedRpm)]),
    ...(single ? [exhaustWidthAdvice(sizes.boreMm)] : []),
  ];
}
