import type { BarrelData, Port } from '../../../core/contract/parts.ts';
import { withPort } from '../../state/build-draft.ts';
import { NumberField } from '../number-field.tsx';
import type { FieldKind } from '../typed-number.ts';

type SizeKey =
  | 'widthMm'
  | 'heightMm'
  | 'cornerRadiusTopMm'
  | 'cornerRadiusBottomMm'
  | 'roofDropMm'
  | 'edgeFromDeckMm'
  | 'azimuthDeg'
  | 'elevationDeg';

interface SizeColumn {
  readonly key: SizeKey;
  readonly title: string;
  readonly kind: FieldKind;
  readonly lower?: number;
  readonly upper: number;
  readonly isLowerExcluded?: boolean;
  /** Sizes without which nothing is drawn stay open; the others are 0 until given. */
  readonly ifEmpty: null | 0;
}

const columns: readonly SizeColumn[] = [
  { key: 'widthMm', title: 'Width, chord', kind: 'length', lower: 0, isLowerExcluded: true, upper: 300, ifEmpty: null },
  { key: 'heightMm', title: 'Height', kind: 'length', lower: 0, isLowerExcluded: true, upper: 300, ifEmpty: null },
  { key: 'edgeFromDeckMm', title: 'Edge from the top', kind: 'length', lower: 0, upper: 500, ifEmpty: null },
  { key: 'cornerRadiusTopMm', title: 'Radius, top', kind: 'length', lower: 0, upper: 100, ifEmpty: 0 },
  { key: 'cornerRadiusBottomMm', title: 'Radius, bottom', kind: 'length', lower: 0, upper: 100, ifEmpty: 0 },
  { key: 'roofDropMm', title: 'Drop of the roof', kind: 'length', lower: 0, upper: 100, ifEmpty: 0 },
  { key: 'azimuthDeg', title: 'Aimed, around', kind: 'angle', lower: -360, upper: 360, ifEmpty: null },
  { key: 'elevationDeg', title: 'Aimed, upwards', kind: 'angle', lower: -90, upper: 90, ifEmpty: null },
];

/** Measured sizes of one window of each port: for areas, the port map and the plan. */
export function PortSizesForm({ data, onChange }: { data: BarrelData; onChange: (data: BarrelData) => void }) {
  if (data.ports.length === 0) return null;
  return (
    <div className="stack">
      <div className="table-scroll">
        <table className="table port-sizes">
          <caption>Sizes of one window of each port, as far as measured</caption>
          <thead>
            <tr>
              <th scope="col">Port</th>
              {columns.map((column) => (
                <th key={column.key} scope="col">
                  {column.title}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {data.ports.map((port) => (
              <tr key={port.portId}>
                <th scope="row">{port.label}</th>
                {columns.map((column) => (
                  <td key={column.key}>
                    <SizeCell
                      port={port}
                      column={column}
                      onChange={(value) => onChange(withPort(data, port.portId, { [column.key]: value }))}
                    />
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p className="muted small">
        The edge is counted from the top of the barrel down to the roof, for a skirt intake down to its floor. Widths
        are chords, not developed. Aimed around: 0 towards the exhaust, clockwise from above.
      </p>
    </div>
  );
}

interface SizeCellProps {
  readonly port: Port;
  readonly column: SizeColumn;
  readonly onChange: (value: number | null) => void;
}

function SizeCell({ port, column, onChange }: SizeCellProps) {
  return (
    <NumberField
      label={`${column.title} of ${port.label}`}
      isLabelHidden
      kind={column.kind}
      value={port[column.key]}
      upper={column.upper}
      {...(column.lower === undefined ? {} : { lower: column.lower })}
      isLowerExcluded={column.isLowerExcluded ?? false}
      onChange={(value) => onChange(value ?? column.ifEmpty)}
    />
  );
}
