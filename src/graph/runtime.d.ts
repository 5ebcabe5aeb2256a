declare module "@observablehq/runtime" {
  export class Runtime {
    constructor(builtins?: object, global?: (name: string) => unknown);
    module(): { variable(observer?: object): unknown };
    dispose(): void;
  }
}
