import './customers.css';
import { useCallback, useState } from 'react';
import type { Client } from '../../../core/contract/client.ts';
import type { Customer } from '../../../core/contract/parts.ts';
import { BookBar } from '../../parts/book-bar.tsx';
import { Button, Notice } from '../../parts/controls.tsx';
import { TextField } from '../../parts/fields.tsx';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { useLoaded } from '../../parts/use-loaded.ts';
import { formatRoute } from '../../state/route.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { navigate, useClient } from '../../state/services.ts';
import { CustomerPanel } from './customer-panel.tsx';

/** Who the builds are for, and how to reach them. */
export function CustomersScreen({ customerId }: { customerId: string | null }) {
  const ask = useCallback((client: Client) => client.call('customer.list', {}), []);
  const { value, failure, reload } = useLoaded(ask);
  const chosen = value?.find((customer) => customer.id === customerId) ?? null;
  return (
    <div className="desk">
      <BookBar place="customers" />
      <h1>Customers</h1>
      {value === null ? (
        failure === null ? (
          <LoadingState what="Reading the customers" />
        ) : (
          <FailedState what="The customers can't be read" sentence={failure} onRetry={reload} />
        )
      ) : (
        <div className="customers-columns">
          <CustomerList all={value} chosenId={customerId} />
          {chosen === null ? (
            <p className="muted">
              {customerId === null
                ? 'Choose a customer to see the builds, to edit the details or to remove them.'
                : 'This customer is not in the book.'}
            </p>
          ) : (
            <CustomerPanel key={chosen.id} customer={chosen} />
          )}
        </div>
      )}
    </div>
  );
}

function CustomerList({ all, chosenId }: { all: readonly Customer[]; chosenId: string | null }) {
  const client = useClient();
  const [text, setText] = useState('');
  const [failure, setFailure] = useState<string | null>(null);
  const words = text.toLowerCase().split(/\s+/);
  const shown = all
    .filter(({ name, contact }) => words.every((word) => `${name} ${contact}`.toLowerCase().includes(word)))
    .toSorted((one, other) => one.name.localeCompare(other.name));
  const add = async () => {
    try {
      const made = await client.call('customer.create', { name: 'New customer' });
      navigate({ screen: 'customers', customerId: made.id });
    } catch (error) {
      setFailure(sentenceOf(error));
    }
  };
  return (
    <section className="panel stack" aria-label="List of customers">
      <div className="row customers-find">
        <TextField
          label="Find a customer"
          isLabelHidden
          placeholder="Name or address"
          value={text}
          onChange={setText}
        />
        <Button onPress={() => void add()}>New customer</Button>
      </div>
      {failure === null ? null : <Notice tone="failure">{failure}</Notice>}
      {all.length === 0 ? (
        <EmptyState title="No customers yet">
          <p>A customer comes into the book with a build, or is entered here.</p>
        </EmptyState>
      ) : shown.length === 0 ? (
        <p className="muted">No customer fits.</p>
      ) : (
        <ul className="customers-list">
          {shown.map((customer) => (
            <li key={customer.id}>
              <a
                href={formatRoute({ screen: 'customers', customerId: customer.id })}
                aria-current={customer.id === chosenId ? 'true' : undefined}
              >
                {customer.name === '' ? 'without a name' : customer.name}
              </a>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
