import type { OutputOf } from '../../../core/contract/messages.ts';
import type { Customer } from '../../../core/contract/parts.ts';
import { Confirm, LinkButton } from '../../parts/controls.tsx';
import { SearchHits } from '../../parts/search-hits.tsx';

interface AskForRemovalProps {
  readonly customer: Customer;
  /** Builds for this customer; null while nobody knows. */
  readonly builds: number | null;
  readonly onConfirm: () => void;
  readonly onCancel: () => void;
}

/** Says exactly what goes and what stays. */
export function AskForRemoval({ customer, builds, onConfirm, onCancel }: AskForRemovalProps) {
  return (
    <Confirm
      question={`Remove the personal details of ${customer.name}?`}
      consequence="This can't be undone: the details are overwritten in the file."
      confirmWord="Remove the details"
      onConfirm={onConfirm}
      onCancel={onCancel}
    >
      <h3>What goes</h3>
      <ul className="plain-list">
        <li>the name and how to reach the person, now and in every earlier version in the history</li>
        <li>the same texts on kept sheets and in what they were drawn from</li>
        <li>the record in other books, as soon as they import this book's changes</li>
      </ul>
      <h3>What stays</h3>
      <ul className="plain-list">
        <li>
          {builds === null ? 'the builds' : `${builds} ${builds === 1 ? 'build' : 'builds'}`}, with all mock-ups,
          readings, pictures and parts
        </li>
        <li>an entry in the history that details were removed, and when</li>
        <li>
          notes and titles in which somebody typed the name: they are listed afterwards, for you to change; what stood
          there before stays in their history
        </li>
        <li>backups and exported archives made before: remove those by hand where it matters</li>
      </ul>
    </Confirm>
  );
}

/** Where the name may still stand after the removal. */
export function RemovalOutcome({ outcome }: { outcome: OutputOf<'customer.removeDetails'> }) {
  const { sheetsChanged, stillNamedIn, backupsHoldingThem, archivesHoldingThem } = outcome;
  return (
    <section className="panel stack" aria-label="After the removal">
      <h2>After the removal</h2>
      <dl className="fact-list">
        <div>
          <dt>Kept sheets</dt>
          <dd>{sheetsChanged === 0 ? 'none named the person' : `blanked on ${sheetsChanged}`}</dd>
        </div>
        <div>
          <dt>Backups</dt>
          <dd>
            {backupsHoldingThem === 0
              ? 'none'
              : `${backupsHoldingThem} made before may still hold the details until they are removed or thinned out`}
          </dd>
        </div>
        <div>
          <dt>Exported archives</dt>
          <dd>
            {archivesHoldingThem === 0
              ? 'none beside the book'
              : `${archivesHoldingThem} made before lie in the folder "exports" beside the book: remove those by hand`}
          </dd>
        </div>
      </dl>
      {stillNamedIn.length === 0 ? (
        <p>No title or note of the book holds a word of the name.</p>
      ) : (
        <>
          <h3>A word of the name still stands in</h3>
          <SearchHits hits={stillNamedIn} />
        </>
      )}
      {backupsHoldingThem === 0 ? null : (
        <div className="row">
          <LinkButton to={{ screen: 'backups' }}>To the backups</LinkButton>
        </div>
      )}
    </section>
  );
}
