/** What stands on each step's card: how to do it right, the usual mistake, the caution that belongs there. */
import type { StepId } from './step-shape.ts';

export interface StepGuidance {
  readonly how: string;
  readonly mistake: string;
  /** Hands, eyes, fire, and what only the maker's manual settles; none where the step can't hurt. */
  readonly cautions: readonly string[];
}

const manual = "The maker's manual decides; a figure shown here is for comparison only.";

export const stepGuidance: Readonly<Record<StepId, StepGuidance>> = {
  box_check: {
    how: 'Write down every mark, grade letter and arrow, photograph the parts as they came, and let parts and gauges lie in one room overnight.',
    mistake: 'Parts of two engines get mixed during cleaning: mark barrel to case and piston to barrel first.',
    cautions: [
      'Old gaskets may hold asbestos: wet them, no power brush. Solvents away from flame and heat; glasses and gloves on.',
    ],
  },
  flatness: {
    how: 'Lay the straightedge lengthways, crossways and on both diagonals; type the thickest blade that goes under, 0 where none does.',
    mistake: 'The straightedge rides on a burr at a stud hole or on a dowel.',
    cautions: ['Plating and alloy dust is not for lungs: no dry grinding of a plated bore edge, mask on.', manual],
  },
  bore_and_piston: {
    how: 'Zero the bore gauge to the micrometer set at the piston size, rock it to its smallest reading, and read along and across the pin at three heights clear of the ports; the piston across its pin, as high up as its maker says.',
    mistake: 'The gauge is not rocked to the minimum, or the piston is taken at another height than its maker says.',
    cautions: [manual],
  },
  clearance: {
    how: 'Taken from the bore and the piston above; a long feeler down the skirt is a cross-check of one spot only.',
    mistake: 'A clearance for each side is compared with one on the diameter: a factor of two.',
    cautions: ['Too little seizes, and a seizure can lock the engine at speed: the maker of the piston decides.'],
  },
  ring_end_gap: {
    how: 'Push the ring square with the crown to a place clear of the ports and find the blade that just drags between its ends.',
    mistake: 'The ring stands askew or over a port, or is filed on both ends and left with a burr.',
    cautions: ['Ring ends are sharp and springy: glasses on. Ends that butt when hot score the wall.', manual],
  },
  crank: {
    how: 'Crank on V-blocks under its bearing seats, dial on each end, one slow turn: type the full swing. Then a feeler beside the rod at the big end.',
    mistake: 'Run-out is taken between lathe centres, which may themselves run out.',
    cautions: ['Truing a pressed crank is work for a specialist shop with the right press.', manual],
  },
  stroke_and_rod: {
    how: 'Depth of the piston at TDC and at BDC, three times; rod from eye to eye plus half of both diameters, or from the maker.',
    mistake: 'A rod length is guessed: ten per cent of it moves a port by more than a degree.',
    cautions: ['Ignition off, plug out and earthed, fingers out of the ports while the crank turns.'],
  },
  gaskets: {
    how: 'Micrometer at four places, before fitting and after one torque; what counts for the stack is the crushed size.',
    mistake: 'The nominal thickness is taken for the crushed one, or a gasket that was crushed before is used again.',
    cautions: ['Copper and brass shims cut: gloves on.'],
  },
  torque: {
    how: "Sleeves on the studs where a part is left off; stages and pattern as in the maker's manual; type the final value.",
    mistake: 'The barrel is measured loose, although it runs pulled down.',
    cautions: ["Torque, order and thread-lock come from the maker's manual only; a strained stud is replaced."],
  },
  true_tdc: {
    how: 'Stop screwed in so that the piston is held well down; turn up to it gently one way, stamp, then the other way, stamp.',
    mistake: 'The long arc is halved, which is BDC: the piston must stand high in the middle of the arc.',
    cautions: [
      'Never start, spin or lean on the stop, and never hold the crank with it for a nut.',
      'Ignition off, plug out and earthed, no starter motor, fingers out of the ports.',
    ],
  },
  port_events: {
    how: 'Come up to each edge slowly and stamp at the first or last light, every port, turning forwards and then backwards.',
    mistake: 'The crank is pushed past the edge and turned back a little: go back a quarter turn and come up again.',
    cautions: ['A port edge shears fingers: hands out of the bore and ducts while the crank turns.'],
  },
  squish: {
    how: 'Solder a third to a half thicker than the gap, out to the bore wall at four places, real gaskets, torqued; rock slowly over TDC and measure the thinnest end.',
    mistake:
      'A single piece on one side cocks the piston and reads false: use opposite pairs and fresh solder each time.',
    cautions: [
      'Leaded solder: wash hands. No force on the crank: hard or thick solder bruises the crown.',
      "The smallest gap allowed depends on rod stretch, bearing play and heat: the maker's manual and a qualified engine builder decide.",
    ],
  },
  head_volume: {
    how: 'Plug fitted, plate greased at the edge with its hole highest; or assembled at true TDC with the plug hole level. Read at the meniscus, wait, read again; type end less start.',
    mistake: 'A bubble under the plate, grease in the chamber, a leak past the ring, or the plug well counted twice.',
    cautions: ['Paraffin or alcohol in the burette: no torch, no flame, no spark on the bench.'],
  },
  deck_and_heights: {
    how: 'Barrel nipped down evenly, piston at TDC, gauge on the flat rim above each end of the pin; below the top is plus, proud is minus. Heights with the jaw on the lip only.',
    mistake: 'The gauge stands away from the pin, where the piston rocks, or the sign is left off.',
    cautions: ['Fingers out of the ports while the crank turns.'],
  },
  ignition: {
    how: "Dial zeroed at TDC, turn back past the point and come up in the running direction to the maker's figure; check with the wheel.",
    mistake: 'Millimetres and degrees are taken as proportional, or a slanting plug hole is not allowed for.',
    cautions: [
      'Wrong ignition kicks back and can run the engine in reverse: check it with a strobe before the first load.',
      'The final setting is that of the maker and of whoever answers for the engine.',
    ],
  },
};
