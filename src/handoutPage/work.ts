import "../workers/task.worker.ts";

// Heard by the page that tries whether a worker begins.
postMessage("begun");
