import { proxy, type Remote, releaseProxy, wrap } from "comlink";
import type { LongTask, Progress } from "../tasks/longTask.ts";
import type { TaskWorker } from "./task.worker.ts";

interface Job {
  readonly task: string;
  readonly args: unknown;
  readonly onProgress?: Progress;
  resolve(result: unknown): void;
  reject(reason: unknown): void;
}

interface Seat {
  readonly worker: Worker;
  readonly remote: Remote<TaskWorker>;
  job: Job | undefined;
}

/** A stopped worker may finish what it is at within this time, ms; after it the worker is ended and replaced. */
const grace = 60;

/**
 * Workers that take jobs from one queue. Workers start when first needed and stay. A stopped job rejects at once; a worker
 * that does not come back from one soon is ended, so that nothing waits behind it.
 */
export class WorkerPool {
  readonly size: number;
  readonly #start: () => Worker;
  readonly #seats: Seat[] = [];
  readonly #queue: Job[] = [];

  /** @param size greatest number of workers   @param start makes one */
  constructor(size: number, start: () => Worker) {
    this.size = Math.max(1, size);
    this.#start = start;
  }

  /** Number of workers now running. */
  get workers(): number {
    return this.#seats.length;
  }

  /** Run one task in a worker; settles always: with its result, its error, or the signal's reason. */
  run<Args, Result>(
    { name }: LongTask<Args, Result>,
    args: NoInfer<Args>,
    signal?: AbortSignal,
    onProgress?: Progress,
  ): Promise<Result> {
    return new Promise((resolve, reject) => {
      if (signal?.aborted) {
        reject(signal.reason);
        return;
      }
      const stop = () => {
        this.#forget(job);
        job.reject(signal?.reason);
      };
      const settle = () => signal?.removeEventListener("abort", stop);
      const job: Job = {
        task: name,
        args,
        onProgress,
        resolve: (result) => {
          settle();
          resolve(result as Result);
        },
        reject: (reason) => {
          settle();
          reject(reason);
        },
      };
      signal?.addEventListener("abort", stop);
      this.#queue.push(job);
      this.#fill();
    });
  }

  /** Start all workers ahead of need. */
  warmUp(): void {
    while (this.#seats.length < this.size) this.#seat();
  }

  /** End all workers; waiting and running jobs are rejected. */
  close(): void {
    const reason = new Error("the worker pool was closed");
    for (const job of this.#queue.splice(0)) job.reject(reason);
    for (const seat of [...this.#seats]) this.#end(seat, reason);
  }

  #seat(): Seat {
    const worker = this.#start();
    const seat: Seat = { worker, remote: wrap<TaskWorker>(worker), job: undefined };
    // A worker that cannot load or dies never answers; its job must still settle.
    worker.addEventListener("error", (event) => {
      event.preventDefault();
      this.#end(seat, new Error(`a worker failed: ${event.message || "it could not be started"}`));
      this.#fill();
    });
    worker.addEventListener("messageerror", () => {
      this.#end(seat, new Error("a worker's answer could not be read"));
      this.#fill();
    });
    this.#seats.push(seat);
    return seat;
  }

  #fill(): void {
    while (this.#queue.length > 0) {
      const free = this.#seats.find((seat) => seat.job === undefined);
      const seat = free ?? (this.#seats.length < this.size ? this.#seat() : undefined);
      if (!seat) return;
      void this.#work(seat, this.#queue.shift()!);
    }
  }

  async #work(seat: Seat, job: Job): Promise<void> {
    seat.job = job;
    try {
      const report = job.onProgress && proxy(job.onProgress);
      job.resolve(await seat.remote.run(job.task, job.args, report));
    } catch (error) {
      job.reject(error);
    }
    seat.job = undefined;
    this.#fill();
  }

  /** A job is no longer wanted. */
  #forget(job: Job): void {
    const place = this.#queue.indexOf(job);
    if (place >= 0) {
      this.#queue.splice(place, 1);
      return;
    }
    const seat = this.#seats.find((one) => one.job === job);
    if (!seat) return;
    setTimeout(() => {
      if (seat.job !== job) return;
      this.#end(seat, new Error("stopped"));
      this.#fill();
    }, grace);
  }

  #end(seat: Seat, reason: Error): void {
    const place = this.#seats.indexOf(seat);
    if (place < 0) return;
    this.#seats.splice(place, 1);
    seat.remote[releaseProxy]();
    seat.worker.terminate();
    seat.job?.reject(reason);
  }
}
