declare const __BUILD_ID__: string;
declare const __VERSION__: string;
