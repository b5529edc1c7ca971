// The release binary, serving a shelf of its own in a temporary folder.
import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const BINARY = resolve(process.env.RONDURE_BINARY ?? "../target/release/rondure");
/** The demo plan, by its name on the shelf. */
export const DEMO = "lavender-ball-60";

export class Server {
  readonly shelf = mkdtempSync(join(tmpdir(), "rondure-shelf-"));
  address = "";
  private child: ChildProcess | null = null;

  /** Starts it; a second start takes the same port, so that an open page finds it again. */
  async start(): Promise<void> {
    const port = this.address === "" ? "0" : new URL(this.address).port;
    const child = spawn(BINARY, ["serve", "--no-open", "--shelf", this.shelf, "--port", port], {
      stdio: ["ignore", "pipe", "inherit"],
    });
    this.child = child;
    this.address = await new Promise((found, failed) => {
      let said = "";
      child.on("error", failed);
      child.on("exit", (status) => failed(new Error(`rondure serve ended with status ${status}: ${said}`)));
      child.stdout.on("data", (bytes: Buffer) => {
        said += bytes.toString();
        const address = /http:\/\/[^\s#]+/.exec(said);
        if (address) found(address[0].replace(/\/$/, ""));
      });
    });
  }

  /** Ends it as a power cut would. */
  async kill(): Promise<void> {
    const child = this.child;
    this.child = null;
    if (!child || child.exitCode !== null) return;
    const ended = new Promise((done) => child.once("exit", done));
    child.removeAllListeners("exit");
    child.once("exit", () => undefined);
    child.kill("SIGKILL");
    await Promise.race([ended, new Promise((done) => setTimeout(done, 500))]);
  }

  plan(name = DEMO): string {
    return readFileSync(join(this.shelf, `${name}.toml`), "utf8");
  }

  write(name: string, text: string): void {
    writeFileSync(join(this.shelf, `${name}.toml`), text);
  }

  async end(): Promise<void> {
    await this.kill();
    rmSync(this.shelf, { recursive: true, force: true });
  }
}
