import type { ReactNode } from 'react';
import { CheckBar } from '../../drawings/check-bar.tsx';
import type { SheetFact, SheetHead } from './sheet-data.ts';

interface SheetPageProps {
  readonly data: SheetHead;
  /** "page 2 of 2"; empty where there is one only. */
  readonly page?: string;
  readonly signature: string;
  readonly children: ReactNode;
}

/** One sheet of paper: what it is about, its content, the bars that show whether the printer kept the size. */
export function SheetPage({ data, page = '', signature, children }: SheetPageProps) {
  return (
    <main className="sheet">
      <header className="sheet-head">
        <div>
          <h1>{data.title}</h1>
          <p className="sheet-subtitle">{data.subtitle}</p>
        </div>
        <Facts facts={data.job} />
      </header>
      {children}
      <footer className="sheet-foot">
        <div>
          <CheckBar direction="across" />
          <div className="sheet-made">{page === '' ? data.footer : `${data.footer}, ${page}`}</div>
        </div>
        <div className="sheet-sign">{signature}</div>
      </footer>
      <div className="sheet-bar-upright">
        <CheckBar direction="upright" />
      </div>
    </main>
  );
}

export function Facts({ facts }: { facts: readonly SheetFact[] }) {
  return (
    <dl>
      {facts.map((fact) => (
        <Fact key={fact.name} fact={fact} />
      ))}
    </dl>
  );
}

function Fact({ fact }: { fact: SheetFact }) {
  return (
    <>
      <dt>{fact.name}</dt>
      <dd>{fact.value}</dd>
    </>
  );
}

export function Sentences({ title, sentences }: { title: string; sentences: readonly string[] }) {
  return (
    <section>
      <h2>{title}</h2>
      <ul>
        {sentences.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </section>
  );
}
