import type { Port } from '../../core/contract/parts.ts';
import type { WorkKind, WorkStep } from '../../core/planner/order-of-work.ts';
import type { PlanStep } from '../../core/planner/plan-for.ts';
import type { ShownSizes } from './shown-size.ts';

function portLabel(ports: readonly Port[], portId: string | null): string {
  return ports.find((port) => port.portId === portId)?.label ?? portId ?? '';
}

const signedWork: Readonly<Partial<Record<WorkKind, { readonly more: string; readonly less: string }>>> = {
  stroke: { more: 'Stroke longer by', less: 'Stroke shorter by' },
  rod: { more: 'Rod longer by', less: 'Rod shorter by' },
  base_gasket: { more: 'Base gasket or packer thicker by', less: 'Base gasket thinner by' },
  head_gasket: { more: 'Head gasket thicker by', less: 'Head gasket thinner by' },
};

const cutWork: Readonly<Partial<Record<WorkKind, string>>> = {
  barrel_foot: 'Off the foot of the barrel',
  deck: 'Off the top of the barrel',
  head_face: 'Off the face of the head, squish band moved along',
  squish_band: 'Squish band recut deeper by',
  bowl: 'Out of the bowl',
};

/** "Off the foot of the barrel: 0.20 mm". */
export function workText(step: WorkStep, ports: readonly Port[], shown: ShownSizes): string {
  const size = step.kind === 'bowl' ? `${shown.number(step.amount, 2)} cm³` : shown.length(Math.abs(step.amount));
  const signed = signedWork[step.kind];
  if (signed !== undefined) return `${step.amount > 0 ? signed.more : signed.less} ${size}`;
  if (step.kind === 'port_roof') return `Roof of ${portLabel(ports, step.portId)} up by ${size}`;
  if (step.kind === 'port_floor') return `Floor of ${portLabel(ports, step.portId)} down by ${size}`;
  return `${cutWork[step.kind] ?? ''}: ${size}`.replace('by:', 'by');
}

const foundSteps: Readonly<Record<PlanStep['step'], string>> = {
  raise_barrel: 'Raise the barrel by gasket or packer',
  lower_barrel: 'Off the foot of the barrel',
  grind_roof: 'Roof up by grinding',
  cut_head_or_deck: 'Off the face of the head (or the top of the barrel)',
  add_head_gasket: 'Head gasket thicker by',
  cut_bowl: 'Out of the bowl',
  fill_bowl: 'Less bowl needed',
};

export function foundStepText(step: PlanStep, shown: ShownSizes): string {
  const isVolume = step.step === 'cut_bowl' || step.step === 'fill_bowl';
  const size = isVolume ? `${shown.number(step.amount, 2)} cm³` : shown.length(step.amount);
  return `${foundSteps[step.step]}: ${size}`;
}
