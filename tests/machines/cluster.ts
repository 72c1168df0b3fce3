// A cluster of one node on this machine, for tests: Slurm's controller and node daemon and the daemon that vouches for who asks, all on
// the loopback address, with keys, sockets, ports and states of their own in a folder of their own. They are started here and ended
// here, by their own process numbers.
import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { randomBytes } from "node:crypto";
import { chmodSync, mkdirSync, writeFileSync } from "node:fs";
import { hostname } from "node:os";
import { join } from "node:path";
import { setTimeout as later } from "node:timers/promises";

/** Programs that it takes. */
const programs = ["munged", "slurmctld", "slurmd", "sbatch", "scontrol", "sinfo", "squeue"] as const;

/** Where daemons of the system are. */
const where = { ...process.env, PATH: `${process.env["PATH"]}:/usr/sbin:/sbin` };

/** A cluster that runs. */
export interface Cluster {
  readonly env: NodeJS.ProcessEnv;
  /** Ends its daemons. */
  end(): Promise<void>;
}

/** Starts it; a text where that is not possible here, with the reason. */
export async function cluster(path: string): Promise<Cluster | string> {
  const missing = programs.filter((one) => spawnSync("which", [one], { env: where }).status !== 0);
  if (missing.length > 0) return `not installed: ${missing.join(", ")}`;
  if (process.getuid?.() !== 0) return "its daemons are started by root alone";
  const at = (name: string) => join(path, name);
  for (const name of ["munge", "state", "spool"]) mkdirSync(at(name));
  chmodSync(path, 0o755);
  writeFileSync(at("munge/key"), randomBytes(1024), { mode: 0o400 });
  writeFileSync(at("slurm.conf"), configuration(path, hostname().split(".")[0]));
  writeFileSync(at("cgroup.conf"), "CgroupPlugin=cgroup/v1\n");
  const env = { ...where, SLURM_CONF: at("slurm.conf") };
  const daemons: ChildProcess[] = [];
  const start = (program: string, ...words: string[]) => {
    const daemon = spawn(program, words, { env, stdio: "ignore" });
    daemon.on("error", () => undefined);
    daemons.unshift(daemon);
  };
  const end = async () => {
    for (const daemon of daemons) await ended(daemon);
  };
  const files = ["key", "socket", "pid", "log", "seed"].map((name) => [munge[name], at(`munge/${name}`)]);
  start("munged", "--foreground", "--force", ...files.map((pair) => pair.join("=")));
  await later(500);
  start("slurmctld", "-D", "-i");
  start("slurmd", "-D");
  for (let tries = 0; tries < 60; tries++) {
    await later(500);
    const { stdout } = spawnSync("sinfo", ["--noheader", "--format=%t"], { env, encoding: "utf8" });
    if (stdout.trim() === "idle") return { env, end };
    if (daemons.some((one) => one.exitCode !== null)) break;
  }
  await end();
  return "its daemons do not start on this machine";
}

const munge: Readonly<Record<string, string>> = {
  key: "--key-file",
  socket: "--socket",
  pid: "--pid-file",
  log: "--log-file",
  seed: "--seed-file",
};

async function ended(daemon: ChildProcess): Promise<void> {
  if (daemon.exitCode !== null || daemon.pid === undefined) return;
  const gone = new Promise<void>((resolve) => daemon.once("exit", () => resolve()));
  daemon.kill("SIGTERM");
  const late = setTimeout(() => daemon.kill("SIGKILL"), 10_000);
  await gone;
  clearTimeout(late);
}

// What is put back in the queue may start again once its old credential has run out: after the least that may be asked for.
function configuration(path: string, host: string): string {
  return `ClusterName=loopback
SlurmctldHost=${host}(127.0.0.1)
SlurmctldPort=36817
SlurmdPort=36818
SlurmUser=root
SlurmdUser=root
AuthType=auth/munge
AuthInfo=socket=${path}/munge/socket,cred_expire=5
CryptoType=crypto/munge
CredType=cred/munge
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
MpiDefault=none
ReturnToService=2
JobRequeue=1
StateSaveLocation=${path}/state
SlurmdSpoolDir=${path}/spool
SlurmctldPidFile=${path}/slurmctld.pid
SlurmdPidFile=${path}/slurmd.pid
SlurmctldLogFile=${path}/slurmctld.log
SlurmdLogFile=${path}/slurmd.log
NodeName=${host} NodeAddr=127.0.0.1 CPUs=2 State=UNKNOWN
PartitionName=all Nodes=${host} Default=YES MaxTime=INFINITE State=UP
`;
}
