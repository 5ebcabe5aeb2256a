export interface BrowserLaunch {
  executablePath: string;
  args: string[];
  env: Record<string, string>;
  /** Time limit for the start of the browser, ms. */
  timeout: number;
}

/** Launch options for playwright; unpacks the bundled browser on first use. */
export function browserLaunch(): Promise<BrowserLaunch>;
