import { useEffect, useState } from 'react';
import { v7 as newId } from 'uuid';
import { useStore } from 'zustand';
import type { CsvMapping } from '../../../core/contract/book-messages.ts';
import type { OutputOf } from '../../../core/contract/messages.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { ChoiceField, TextField, TickField } from '../../parts/fields.tsx';
import {
  columnRoles,
  importableQuantities,
  mappingProblem,
  roleOf,
  unitQuestion,
  withQuantity,
  withRole,
} from '../../state/csv-mapping.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient } from '../../state/services.ts';
import { runTask, type TaskStore } from '../../state/task.ts';
import { CsvOutcome } from './csv-outcome.tsx';

/** A table as it was read and cut. */
export interface CsvTable extends OutputOf<'csv.inspect'> {
  readonly fileName: string;
  readonly text: string;
}

interface CsvMappingStepProps {
  readonly table: CsvTable;
  readonly mockUpId: string;
  readonly onTable: (table: CsvTable) => void;
  readonly onDone: () => void;
  readonly task: TaskStore;
}

const delimiters = [
  { value: ',', title: 'comma' },
  { value: ';', title: 'semicolon' },
  { value: '\t', title: 'tab' },
] as const;
const decimals = [
  { value: 'point', title: 'point, 0.31' },
  { value: 'comma', title: 'comma, 0,31' },
] as const;

/** Which column holds what; every change is tried out on the whole table before anything is stored. */
export function CsvMappingStep({ table, mockUpId, onTable, onDone, task }: CsvMappingStepProps) {
  const client = useClient();
  const [mapping, setMapping] = useState<CsvMapping>(table.mapping);
  const [measuredBy, setMeasuredBy] = useState('');
  // One id for the whole step: sent twice by a slip, the import still adds every line once.
  const [importId] = useState(() => newId());
  const [outcome, setOutcome] = useState<OutputOf<'csv.import'> | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  const isBusy = useStore(task, (state) => state.phase === 'running');
  const problem = mappingProblem(mapping);
  const asked = outcome === null ? null : unitQuestion(outcome.withoutUnit);
  const { text } = table;

  useEffect(() => {
    let isCurrent = true;
    setOutcome(null);
    if (problem !== null) return;
    client
      .call('csv.import', { importId, mockUpId, text, mapping, isRehearsal: true })
      .then((answer) => {
        if (!isCurrent) return;
        setOutcome(answer);
        setFailure(null);
      })
      .catch((error: unknown) => {
        if (isCurrent) setFailure(sentenceOf(error));
      });
    return () => {
      isCurrent = false;
    };
  }, [client, importId, mockUpId, text, mapping, problem]);

  const cutAnew = async (as: Pick<CsvMapping, 'delimiter' | 'hasHeader'>) => {
    try {
      const inspected = await client.call('csv.inspect', { text, as });
      onTable({ ...table, ...inspected });
      setMapping({ ...inspected.mapping, quantity: mapping.quantity, unit: mapping.unit });
    } catch (error) {
      setFailure(sentenceOf(error));
    }
  };
  const store = () =>
    void runTask(task, 'Storing the readings', async () => {
      const { added, refused } = await client.call('csv.import', { importId, mockUpId, text, mapping, measuredBy });
      onDone();
      const left =
        refused.length === 0 ? '' : ` ${refused.length} ${refused.length === 1 ? 'line was' : 'lines were'} left out.`;
      return `${readingsText(added)} ${added === 1 ? 'is' : 'are'} stored with the mock-up.${left}`;
    });
  return (
    <div className="stack">
      <h3>How the table is cut</h3>
      <div className="field-grid">
        <ChoiceField
          label="Between the columns stands a"
          value={mapping.delimiter}
          choices={delimiters}
          onChange={(delimiter) => void cutAnew({ delimiter, hasHeader: mapping.hasHeader })}
        />
        <ChoiceField
          label="Decimal mark"
          value={mapping.decimal}
          choices={decimals}
          onChange={(decimal) => setMapping({ ...mapping, decimal })}
        />
        <TickField
          label="The first line names the columns"
          isOn={mapping.hasHeader}
          onChange={(hasHeader) => void cutAnew({ delimiter: mapping.delimiter, hasHeader })}
        />
      </div>
      <h3>What the columns hold</h3>
      <ColumnTable table={table} mapping={mapping} onMapping={setMapping} />
      <div className="field-grid">
        {mapping.quantityColumn >= 0 ? null : (
          <ChoiceField
            label="All lines are"
            value={mapping.quantity}
            choices={[
              { value: '', title: 'Choose what was read' },
              ...importableQuantities.map((quantity) => ({ value: quantity.id, title: quantity.title })),
            ]}
            onChange={(quantity) => setMapping(withQuantity(mapping, quantity))}
          />
        )}
        <TextField
          label={mapping.unitColumn < 0 ? 'Unit of all lines' : 'Unit of lines that name none'}
          value={mapping.unit}
          list={['mm', 'in', 'thou', 'deg', 'cm3', 'in3', 'N·m']}
          onChange={(unit) => setMapping({ ...mapping, unit: unit.trim().slice(0, 20) })}
        />
        <TextField label="Who measured" value={measuredBy} onChange={(name) => setMeasuredBy(name.slice(0, 200))} />
      </div>
      {problem === null ? null : <Notice tone="caution">{problem}</Notice>}
      {asked === null ? null : <Notice tone="caution">{asked}</Notice>}
      {failure === null ? null : <Notice tone="failure">{failure}</Notice>}
      {outcome === null ? null : <CsvOutcome outcome={outcome} />}
      <div className="row">
        <Button
          look="main"
          isDisabled={isBusy || outcome === null || outcome.added === 0 || asked !== null}
          onPress={store}
        >
          {outcome === null ? 'Store the readings' : `Store ${readingsText(outcome.added)}`}
        </Button>
        <Button isDisabled={isBusy} onPress={onDone}>
          Leave it
        </Button>
      </div>
    </div>
  );
}

const readingsText = (count: number): string => `${count} ${count === 1 ? 'reading' : 'readings'}`;

interface ColumnTableProps {
  readonly table: CsvTable;
  readonly mapping: CsvMapping;
  readonly onMapping: (mapping: CsvMapping) => void;
}

/** Lines shown of the table itself. */
const previewLines = 5;

function ColumnTable({ table, mapping, onMapping }: ColumnTableProps) {
  return (
    <div className="table-scroll">
      <table className="table csv-preview">
        <caption className="visually-hidden">First lines of the table, with what each column holds</caption>
        <thead>
          <tr>
            {table.columns.map((title, column) => (
              // Columns of a table have no other identity than their place.
              // biome-ignore lint/suspicious/noArrayIndexKey: the place is the identity
              <th key={column} scope="col">
                {title}
                <ChoiceField
                  label={`Column ${title} holds`}
                  isLabelHidden
                  value={roleOf(mapping, column)}
                  choices={columnRoles}
                  onChange={(role) => onMapping(withRole(mapping, column, role))}
                />
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {table.rows.slice(0, previewLines).map((row, index) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: the place is the identity
            <tr key={index}>
              {table.columns.map((_, column) => (
                // biome-ignore lint/suspicious/noArrayIndexKey: the place is the identity
                <td key={column}>{row[column] ?? ''}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
