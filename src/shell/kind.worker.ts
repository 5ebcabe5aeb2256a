import { define } from "../../cells/defines.ts";
import { serveKinds } from "../workers/serveKinds.ts";

serveKinds(define);
