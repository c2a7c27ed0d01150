/**
 * CPU time of this process so far, ms. Guards against hangs count this and not the clock, which
 * runs on while other work has the machine.
 */
export function cpuMs(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}
