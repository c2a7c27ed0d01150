export declare const SWITCHES: readonly string[];
export declare function findChromium(): string | null;
export declare function findFirefox(): string | null;
export declare function findXvfb(): string | null;
