export declare const SWITCHES: readonly string[];
export declare function findChromium(): string | null;
