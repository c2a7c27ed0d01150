/** How a cut that was heard is written in a machine file and in an evidence log. */
import { choice, count, figure, group, need } from '../../text/field.js';

/** As `HeardCut` of the model. */
export const HEARD_CUT = group('cut that was heard', {
  sound: need(choice('sound', ['chatter', 'quiet'])),
  pitchHz: figure('pitch of the howl', 10, 20_000, 'Hz'),
  spindleRpm: need(figure('spindle speed', 50, 200_000, 'rpm')),
  engagementDeg: need(figure('radial engagement', 1, 180, 'deg')),
  axialDepthMm: need(figure('axial depth', 0.005, 20, 'mm')),
  feedPerToothMm: need(figure('feed per tooth', 0.0005, 1, 'mm')),
  wearFactor: need(figure('force over that of a sharp edge', 1, 3, '')),
  kc11NPerMm2: need(figure('specific cutting force at a chip of 1 mm', 50, 10_000, 'N/mm2')),
  mc: need(figure('exponent of the chip', 0, 0.6, '')),
  cutter: need(
    group('cutter', {
      diameterMm: need(figure('cutter diameter', 0.5, 20, 'mm')),
      flutes: need(count('number of flutes', 1, 8)),
      material: need(choice('cutter material', ['carbide', 'hss'])),
      stickOutMm: need(figure('stick-out', 1, 150, 'mm')),
      fluteLengthMm: need(figure('flute length', 0.5, 120, 'mm')),
      shankDiameterMm: need(figure('shank diameter', 1, 25, 'mm')),
      neckDiameterMm: figure('diameter of the neck', 0.2, 25, 'mm'),
    }),
  ),
});

/** Most that are kept: each is weighed whenever a job is planned. */
export const MOST_HEARD = 32;
