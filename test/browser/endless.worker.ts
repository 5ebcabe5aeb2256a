import { serveKinds } from "../../src/workers/serveKinds.ts";
import { testKinds } from "../graph/endlessKind.ts";

serveKinds(async (kind) => testKinds.get(kind));
