import { useCallback } from 'react';
import type { BookListOrder } from '../../../core/contract/book-messages.ts';
import type { Client } from '../../../core/contract/client.ts';
import { Button } from '../../parts/controls.tsx';
import { ChoiceField } from '../../parts/fields.tsx';
import { useLoaded } from '../../parts/use-loaded.ts';
import { type BookFilter, isUnfiltered, noFilter } from '../../state/book-store.ts';

const orders: readonly { value: BookListOrder; title: string }[] = [
  { value: 'changed', title: 'Latest change first' },
  { value: 'title', title: 'Title' },
  { value: 'job_number', title: 'Job number' },
  { value: 'customer', title: 'Customer' },
  { value: 'engine', title: 'Engine' },
];
const measuredChoices = [
  { value: 'all', title: 'Measured or not' },
  { value: 'with_readings', title: 'With readings' },
  { value: 'without_readings', title: 'Not measured yet' },
] as const;

/** Narrows the list and puts it in order; over the whole book, not only the rows shown. */
export function BookFilterBar({ filter, onChange }: { filter: BookFilter; onChange: (filter: BookFilter) => void }) {
  const ask = useCallback(async (client: Client) => {
    const [engines, customers] = await Promise.all([
      client.call('part.list', { kind: 'engine' }),
      client.call('customer.list', {}),
    ]);
    return { engines: named(engines), customers: named(customers) };
  }, []);
  const { value } = useLoaded(ask);
  return (
    <div className="row book-filter">
      <ChoiceField
        label="Order"
        isLabelHidden
        value={filter.order}
        choices={orders}
        onChange={(order) => onChange({ ...filter, order })}
      />
      <ChoiceField
        label="Engine"
        isLabelHidden
        value={filter.engineId ?? ''}
        choices={[{ value: '', title: 'All engines' }, ...(value?.engines ?? [])]}
        onChange={(id) => onChange({ ...filter, engineId: id === '' ? null : id })}
      />
      <ChoiceField
        label="Customer"
        isLabelHidden
        value={filter.customerId ?? ''}
        choices={[{ value: '', title: 'All customers' }, ...(value?.customers ?? [])]}
        onChange={(id) => onChange({ ...filter, customerId: id === '' ? null : id })}
      />
      <ChoiceField
        label="Measured"
        isLabelHidden
        value={filter.measured}
        choices={measuredChoices}
        onChange={(measured) => onChange({ ...filter, measured })}
      />
      {isUnfiltered(filter) ? null : (
        <Button look="quiet" onPress={() => onChange({ ...noFilter, order: filter.order })}>
          Show all
        </Button>
      )}
    </div>
  );
}

function named(records: readonly { readonly id: string; readonly name: string }[]) {
  return records
    .map(({ id, name }) => ({ value: id, title: name === '' ? 'without a name' : name }))
    .toSorted((one, other) => one.title.localeCompare(other.title));
}
