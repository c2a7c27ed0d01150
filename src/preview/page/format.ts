/** Figures as text. */
import { degFromRad } from '../../maths/angle.js';

/** Seconds as "0:42.3", "12:05.0" or "1:02:07.5". */
export function clock(seconds: number): string {
  const tenths = Math.round(10 * Math.max(0, seconds));
  const s = (tenths % 600) / 10;
  const minutes = Math.floor(tenths / 600);
  const hours = Math.floor(minutes / 60);
  const two = (n: number) => String(n).padStart(2, '0');
  const rest = `${s < 10 ? '0' : ''}${s.toFixed(1)}`;
  return hours > 0 ? `${hours}:${two(minutes % 60)}:${rest}` : `${minutes}:${rest}`;
}

/** Seconds for a listener: "12 minutes 5 seconds". */
export function spokenTime(seconds: number): string {
  const whole = Math.round(seconds);
  const parts: string[] = [];
  const say = (n: number, noun: string) => {
    if (n > 0) parts.push(`${n} ${noun}${n === 1 ? '' : 's'}`);
  };
  say(Math.floor(whole / 3600), 'hour');
  say(Math.floor(whole / 60) % 60, 'minute');
  say(whole % 60, 'second');
  return parts.length > 0 ? parts.join(' ') : '0 seconds';
}

/** Micrometres where a length is small: "7.4 µm", "0.231 mm". */
export function smallLength(mm: number): string {
  return Math.abs(mm) < 0.1 ? `${(1000 * mm).toFixed(1)} µm` : `${mm.toFixed(3)} mm`;
}

export function degrees(rad: number): string {
  return `${degFromRad(rad).toFixed(1)}°`;
}
