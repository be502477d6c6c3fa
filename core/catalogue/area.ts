import { portTimeArea, projectedArea, skirtTimeArea } from '../area/time-area.ts';
import { portOpenArea } from '../area/window.ts';
import { boreInput, crankInputs, derived, number, optionalNumber, quantity, speedInput } from './describe.ts';

const area = (title: string) => ({ title, dimension: 'area' }) as const;

export const windowInputs = {
  widthMm: number('width', 'Width, projected chord', 'length'),
  heightMm: number('height', 'Height', 'length'),
  radiusTopMm: optionalNumber('radius_top', 'Corner radius, top', 'length'),
  radiusBottomMm: optionalNumber('radius_bottom', 'Corner radius, bottom', 'length'),
};
export const roofDrop = { roofDropMm: optionalNumber('roof_drop', 'Drop of the roof', 'length') };
export const windowCount = { count: optionalNumber('count', 'Equal windows', 'ratio') };

const timeAreaOutputs = {
  angle_area: { title: 'Angle-area', dimension: 'angle_area' },
  time_area: { title: 'Time-area', dimension: 'time_area' },
  specific_time_area: { title: 'Specific time-area', dimension: 'specific_time_area' },
} as const;

function timeAreaResult(result: { angleAreaDegMm2: number; timeAreaSMm2: number; specificTimeAreaSPerM: number }): {
  angle_area: number;
  time_area: number;
  specific_time_area: number;
} {
  return {
    angle_area: result.angleAreaDegMm2,
    time_area: result.timeAreaSMm2,
    specific_time_area: result.specificTimeAreaSPerM,
  };
}

/** Open area, angle-area, time-area. */
export const areaQuantities = [
  quantity({
    id: 'port_open_area',
    title: 'Open area of a window',
    subject: 'area',
    formula: 'strip between the corners and two circular segments; triangle and strip for a sloping roof',
    ...derived,
    inputs: {
      ...windowInputs,
      ...roofDrop,
      uncoveredMm: number('uncovered', 'Crown edge below the roof', 'length'),
    },
    outputs: { area: area('Open area'), full_area: area('Area of the whole window') },
    run: (received) => {
      const result = portOpenArea(received, received.uncoveredMm);
      return { area: result.areaMm2, full_area: result.fullAreaMm2 };
    },
  }),
  quantity({
    id: 'port_time_area',
    title: 'Time-area of a crown-controlled port',
    subject: 'area',
    formula: 'AA = ∫ A(x(φ) − x_roof) dφ; TA = AA/(6 N); STA = TA/V_swept',
    ...derived,
    inputs: {
      ...crankInputs,
      ...windowInputs,
      ...roofDrop,
      roofDepthMm: number('roof_depth', 'Roof below the crown at TDC', 'length'),
      ...boreInput,
      ...speedInput,
      untilDepthMm: optionalNumber('until_depth', "Earliest transfer's roof, for the blowdown window", 'length'),
      ...windowCount,
    },
    outputs: timeAreaOutputs,
    run: (received) => timeAreaResult(portTimeArea({ ...received, geometry: received, window: received })),
  }),
  quantity({
    id: 'skirt_intake_time_area',
    title: 'Time-area of a skirt-controlled intake',
    subject: 'area',
    formula: 'AA = ∫ A(x_i − x(φ)) dφ, lower corners first; TA = AA/(6 N); STA = TA/V_swept',
    ...derived,
    inputs: {
      ...crankInputs,
      ...windowInputs,
      ...roofDrop,
      skirtDepthMm: number('skirt_depth', 'Floor below the skirt edge at TDC', 'length'),
      ...boreInput,
      ...speedInput,
      ...windowCount,
    },
    outputs: timeAreaOutputs,
    run: (received) => timeAreaResult(skirtTimeArea({ ...received, geometry: received, window: received })),
  }),
  quantity({
    id: 'port_projected_area',
    title: 'Area that the jet sees',
    subject: 'area',
    formula: 'A cos α cos β, ideal direction only',
    ...derived,
    inputs: {
      areaMm2: number('area', 'Area of the window', 'area'),
      azimuthDeg: number('azimuth', "From the wall's normal, across the bore", 'angle'),
      elevationDeg: number('elevation', 'Upwards', 'angle'),
    },
    outputs: { projected_area: area('Projected area') },
    run: (received) => ({
      projected_area: projectedArea(received.areaMm2, received.azimuthDeg, received.elevationDeg),
    }),
  }),
];
