import { cameraStateText } from '../../camera/camera-states.ts';
import { Button } from '../../parts/controls.tsx';
import type { SightState } from '../../state/bench-sight.ts';

/** Why there is no picture, what to do about it, and the button that does it. */
export function CameraFault({
  camera,
  isAlone = false,
  onOpen,
}: {
  camera: SightState['camera'];
  /** No other button of the screen opens the camera. */
  isAlone?: boolean;
  onOpen: () => void;
}) {
  const { what, remedy, step, stepLabel } = cameraStateText(camera);
  return (
    <div className="camera-empty" role={camera.kind === 'off' ? undefined : 'alert'} data-testid="camera-fault">
      <p>
        <strong>{what}</strong>
      </p>
      <p>{remedy}</p>
      {step === 'open' && (isAlone || camera.kind !== 'off') ? (
        <p>
          <Button look="main" onPress={onOpen}>
            {stepLabel}
          </Button>
        </p>
      ) : null}
    </div>
  );
}
