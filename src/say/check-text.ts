/** What a check of a program found, as text: the answer, what to see to, the figures of the replay. */
import type { CheckReport, CheckSeverity, ReplayFigures } from '../plan/check/findings.js';
import { plural, showText } from '../text/show.js';
import { type LengthUnit, formatLength, formatMinutes } from './format.js';

/** Findings printed as text; the report has all of them. */
const MAX_PRINTED = 40;

const ANSWERS: Readonly<Record<CheckReport['worst'], string>> = {
  error: 'do not run it',
  warning: 'read the warnings before it runs',
  note: 'nothing found against it',
  none: 'nothing found against it',
};

/** @param file  name of the program, fit to be shown */
export function checkText(report: CheckReport, file: string, units: LengthUnit): string {
  const { findings, worst, measured } = report;
  const count = (severity: CheckSeverity): string =>
    plural(findings.filter((f) => f.severity === severity).length, severity);
  const lines = findings.slice(0, MAX_PRINTED).map(({ line, severity, text, code }) => {
    const at = line > 0 ? `:${line}` : '';
    return `${file}${at}: ${severity}: ${showText(text, 300)} [${code}]`;
  });
  const more = findings.length - lines.length;
  if (more > 0) lines.push(`... and ${plural(more, 'more finding')}; --json lists all`);
  return [
    `${file}: ${ANSWERS[worst]}: ${count('error')}, ${count('warning')}, ${count('note')}`,
    ...lines,
    ...('removedMm3' in measured ? ['In the replay:', ...figureLines(measured, units)] : []),
  ].join('\n');
}

/** A line a figure, its limit and the line of the program beside it. */
function figureLines(found: ReplayFigures, units: LengthUnit): string[] {
  const mm = (value: number, digits: number): string => formatLength(value, units, digits);
  const newtons = (n: number): string => `${n.toFixed(0)} N`;
  const at = (line: number): string => (line > 0 ? ` (line ${line})` : '');
  const { peakForceN: push, peakForceLine: pushLine, peakDriveN: drive, driveForceN } = found;
  const left = found.leftoverMm === null ? 'not looked at' : mm(found.leftoverMm, 4);
  return [
    `  engagement   ${found.peakEngagementDeg.toFixed(1)} of ${found.maxEngagementDeg.toFixed(0)} deg${at(found.peakEngagementLine)}`,
    `  cutter       a tooth pushes with ${newtons(push.x)} along X${at(pushLine.x)}, ${newtons(push.y)} along Y${at(pushLine.y)}; it bears ${newtons(found.cutterForceN)}`,
    `  drives       cutting asks X for ${newtons(drive.x)} of ${newtons(driveForceN.x)} left for it, Y for ${newtons(drive.y)} of ${newtons(driveForceN.y)}`,
    `  at most      chip ${(1000 * found.peakChipMm).toFixed(1)} um, ${mm(found.peakAxialDepthMm, 3)} deep at once, ${found.peakPowerW.toFixed(0)} W`,
    `  form         gouge ${mm(found.gougeMm, 4)}${at(found.gougeMm > 0 ? found.gougeLine : 0)}, left over ${left}`,
    `  time         ${formatMinutes(found.feedCuttingMin)} in the cut, ${formatMinutes(found.feedInAirMin)} at feed in air, ${formatMinutes(found.rapidMin)} of rapids`,
    `  cut away     ${(found.removedMm3 / 1000).toFixed(2)} cm3, as the program of the ${found.checkedFor}; ${plural(found.lines, 'line')}`,
  ];
}
