import { spawn } from "node:child_process";

/**
 * Opens an address in the browser of the desktop. Does nothing where there is none, and never fails.
 *
 * @returns whether a program was asked to open it
 */
export function openBrowser(
  address: string,
  environment: NodeJS.ProcessEnv,
  platform = process.platform,
): boolean {
  if (environment.CI) return false;
  if (platform === "linux" && !environment.DISPLAY && !environment.WAYLAND_DISPLAY) return false;
  const [program, args] = openerOf(platform, address);
  try {
    const child = spawn(program, args, {
      detached: true,
      stdio: "ignore",
      windowsHide: true,
      env: environment,
    });
    child.once("error", () => {}); // no such program: the address is on the screen all the same
    child.unref();
    return true;
  } catch {
    return false;
  }
}

function openerOf(platform: NodeJS.Platform, address: string): [string, string[]] {
  if (platform === "darwin") return ["open", [address]];
  if (platform === "win32") return ["cmd", ["/c", "start", "", address]];
  return ["xdg-open", [address]];
}
