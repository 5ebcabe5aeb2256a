import { createServer } from "node:http";
import { describe, expect, onTestFinished, test } from "vitest";
import { listen, openWorkplace, usualPort } from "../../src/server/server.ts";
import { temporaryFolder } from "./temporaryFolder.ts";

const workplaceIn = (folder: string) => openWorkplace({ folder, validate: () => {}, examples: {} });

describe("the port", () => {
  test("is a free one when the usual one is taken", async () => {
    const other = createServer().on("error", () => {}); // taken already: just as well
    await new Promise<void>((resolve) => {
      other.once("error", () => resolve());
      other.listen(usualPort, "127.0.0.1", resolve);
    });
    onTestFinished(() => void other.close());
    const server = await listen(await workplaceIn(await temporaryFolder()), undefined);
    expect(Number(new URL(server.address).port)).not.toBe(usualPort);
    await server.stop();
  });

  test("that was asked for is never changed in silence", async () => {
    const first = await listen(await workplaceIn(await temporaryFolder()), 0);
    const second = await workplaceIn(await temporaryFolder());
    const port = Number(new URL(first.address).port);
    await expect(listen(second, port)).rejects.toThrow(`Port ${port} is taken by another program`);
    await second.close();
    await first.stop();
  });
});
