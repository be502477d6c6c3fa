import { useEffect, useState } from 'react';
import { refusalText } from '../../../core/wheel/refusals.ts';
import { measuredAngle } from '../../parts/expanded-angle.ts';
import type { StillRead } from '../../state/bench-sight.ts';

/** Pictures from files, as read with the present set-up. */
export function StillsRead({ stills, quarterTurns }: { stills: readonly StillRead[]; quarterTurns: number }) {
  if (stills.length === 0) return null;
  return (
    <table className="table" aria-label="Pictures read">
      <caption>Pictures read with this set-up; nothing of it is stamped.</caption>
      <thead>
        <tr>
          <th scope="col">Picture</th>
          <th scope="col">Degrees from the reference</th>
          <th scope="col">U = 2 u</th>
        </tr>
      </thead>
      <tbody>
        {stills.map(({ name, picture, isMirrored, reading, failure }) => (
          <tr key={name} data-testid="still">
            <th scope="row">
              <StillPicture name={name} picture={picture} isMirrored={isMirrored} quarterTurns={quarterTurns} />
              {name}
              {isMirrored ? <span className="muted small"> un-mirrored, as the camera’s pictures are</span> : null}
            </th>
            {reading?.accepted === true ? (
              <>
                <td>
                  {turnText(reading.rotationDeg)}
                  {reading.modulusDeg === 360 ? '' : ` (or any ${reading.modulusDeg} on)`}
                </td>
                <td>
                  ± {measuredAngle(reading.sigmaDeg).expanded}
                  {reading.provisional ? ', provisional' : ''}
                </td>
              </>
            ) : (
              <td colSpan={2}>{refusedWords(reading, failure)}</td>
            )}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** The picture as it is read, upright where the camera noted how it was held, shown turned as the live picture is. */
function StillPicture({
  name,
  picture,
  isMirrored,
  quarterTurns,
}: {
  name: string;
  picture: Blob;
  isMirrored: boolean;
  quarterTurns: number;
}) {
  const [address, setAddress] = useState<string | null>(null);
  useEffect(() => {
    const made = URL.createObjectURL(picture);
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [picture]);
  if (address === null) return null;
  const transform = `rotate(${quarterTurns * 90}deg)${isMirrored ? ' scaleX(-1)' : ''}`;
  return <img className="still-picture" src={address} alt={`${name} as it is read`} style={{ transform }} />;
}

/** To a hundredth of a degree; what rounds to a whole turn is shown as none. */
function turnText(rotationDeg: number): string {
  return (Number(rotationDeg.toFixed(2)) % 360).toFixed(2);
}

function refusedWords(reading: StillRead['reading'], failure: string): string {
  if (failure !== '') return `This picture can’t be opened (${failure}). Save it again as JPEG or PNG.`;
  if (reading === null) return 'Being read';
  if (reading.accepted) return '';
  const { what, remedy } = refusalText(reading.reason);
  return `Not read. ${what} ${remedy}`;
}
