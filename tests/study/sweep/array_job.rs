//! The array job of the README, run for real: the script as it stands there, on a batch system of one
//! machine. Debian's packages `slurm-wlm` and `munge` have it; where they are missing, or not run by
//! root, the test says so and tries nothing, unless `SETBAND_BATCH` says that they must be there.

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::{Place, said};

/// A small office whose one occupant makes draws differ.
const BIG: &str = "\
period: {from: 2025-04-16, step: 30 min}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall: {space: {floor: 60 m2, start: 20}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 24}}
people:
  - {zone: hall, name: clerk, prefers: 23, tolerance: 0.5, patience: 20 min, present: {from: \"08:00\", to: \"17:00\"}}
";
/// The share that is killed.
const KILLED: usize = 9;
/// No step of the test takes so long.
const LONGEST: Duration = Duration::from_secs(240);

/// The script in the README.
fn script() -> String {
    let readme = fs::read_to_string("README.md").expect("the README");
    let from = readme.find("#!/bin/sh\n#SBATCH").expect("the array job");
    readme[from..].split("```").next().expect("its end").to_owned()
}

/// What a batch system needs that is not there.
fn missing() -> Option<String> {
    let found = |program: &&str| {
        let mut asked = Command::new(program);
        asked.arg("-V").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok()
    };
    let programs = ["munged", "slurmctld", "slurmd", "sbatch", "squeue", "scancel", "scontrol"];
    let none: Vec<&str> = programs.into_iter().filter(|it| !found(it)).collect();
    if !none.is_empty() {
        return Some(format!("{} not found: install slurm-wlm and munge", none.join(", ")));
    }
    let who = Command::new("id").arg("-u").output().expect("id");
    (who.stdout != b"0\n").then(|| "its daemons want root".to_owned())
}

/// A batch system of this machine alone; ends with the test.
struct Batch {
    daemons: Vec<Child>,
    folder: std::path::PathBuf,
}

impl Batch {
    fn start(place: &Place) -> Self {
        let folder = place.path("batch");
        for part in ["state", "spool"] {
            fs::create_dir_all(folder.join(part)).expect("a folder");
        }
        let host = Command::new("hostname").arg("-s").output().expect("hostname").stdout;
        let host = String::from_utf8(host).expect("a name");
        fs::write(folder.join("slurm.conf"), conf(&folder, host.trim())).expect("written");
        let mut batch = Self { daemons: Vec::new(), folder };
        batch.start_key();
        batch.daemon("slurmctld", &["-D", "-c"]);
        batch.daemon("slurmd", &["-D"]);
        until("the node is idle", || {
            text(&batch.command("sinfo", &["-h", "-o", "%T"])) == "idle\n"
        });
        batch
    }

    fn start_key(&mut self) {
        use std::os::unix::fs::PermissionsExt as _;
        let key = self.folder.join("key");
        fs::write(&key, [7; 1024]).expect("written");
        fs::set_permissions(&key, fs::Permissions::from_mode(0o400)).expect("set");
        let at = |name: &str, file: &str| format!("--{name}={}", self.folder.join(file).display());
        let files = [
            at("key-file", "key"),
            at("socket", "munge.socket"),
            at("log-file", "munge.log"),
            at("pid-file", "munge.pid"),
            at("seed-file", "munge.seed"),
        ];
        let mut arguments = vec!["--foreground", "--force"];
        arguments.extend(files.iter().map(String::as_str));
        self.daemon("munged", &arguments);
        let socket = self.folder.join("munge.socket");
        until("the keys are served", || socket.exists());
    }

    fn daemon(&mut self, program: &str, arguments: &[&str]) {
        let mut command = self.of(program, arguments);
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        self.daemons.push(command.spawn().expect("a daemon"));
    }

    fn of(&self, program: &str, arguments: &[&str]) -> Command {
        let mut command = Command::new(program);
        command.args(arguments).env("SLURM_CONF", self.folder.join("slurm.conf"));
        command
    }

    fn command(&self, program: &str, arguments: &[&str]) -> Output {
        self.of(program, arguments).output().expect("a program of the batch system")
    }

    /// Hands the script in from a folder, and tells the job's number.
    fn submit(&self, folder: &Path, arguments: &[&str]) -> String {
        let binary = Path::new(env!("CARGO_BIN_EXE_setband")).parent().expect("its folder");
        let path = std::env::var("PATH").expect("a path");
        let mut command = self.of("sbatch", &["--parsable"]);
        command.args(arguments).arg("job.sh").current_dir(folder);
        command.env("PATH", format!("{}:{path}", binary.display()));
        let output = command.output().expect("sbatch");
        assert!(output.status.success(), "{}", said(&output));
        text(&output).trim().to_owned()
    }

    /// How many tasks have not ended.
    fn waiting(&self) -> usize {
        let listed = self.command("squeue", &["-h", "-r", "-o", "%i"]);
        assert!(listed.status.success(), "{}", said(&listed));
        text(&listed).lines().count()
    }
}

impl Drop for Batch {
    fn drop(&mut self) {
        for daemon in self.daemons.iter_mut().rev() {
            // SIGTERM lets them end their children; what is deaf to it is killed.
            let _ = Command::new("kill").arg(daemon.id().to_string()).status();
            let end = Instant::now() + Duration::from_secs(5);
            while Instant::now() < end && matches!(daemon.try_wait(), Ok(None)) {
                sleep(Duration::from_millis(50));
            }
            let _ = daemon.kill();
            let _ = daemon.wait();
        }
    }
}

/// The settings of a batch system of one machine.
fn conf(folder: &Path, host: &str) -> String {
    let at = folder.display();
    // Tests of several checkouts may run at once.
    let port = 20_000 + 2 * (std::process::id() % 10_000);
    let next = port + 1;
    format!(
        "ClusterName=here\nSlurmctldHost={host}(127.0.0.1)\nAuthType=auth/munge\n\
         AuthInfo=socket={at}/munge.socket\nCredType=cred/munge\nSlurmUser=root\nSlurmdUser=root\n\
         SlurmctldPort={port}\nSlurmdPort={next}\nStateSaveLocation={at}/state\n\
         SlurmdSpoolDir={at}/spool\nSlurmctldPidFile={at}/slurmctld.pid\n\
         SlurmdPidFile={at}/slurmd.pid\nProctrackType=proctrack/pgid\nTaskPlugin=task/none\n\
         MpiDefault=none\nSwitchType=switch/none\nReturnToService=2\n\
         SelectType=select/cons_tres\nSelectTypeParameters=CR_CPU\n\
         SchedulerParameters=sched_interval=1,batch_sched_delay=0,sched_min_interval=0\n\
         AccountingStorageType=accounting_storage/none\nJobAcctGatherType=jobacct_gather/none\n\
         NodeName={host} NodeAddr=127.0.0.1 CPUs=2 State=UNKNOWN\n\
         PartitionName=here Nodes=ALL Default=YES MaxTime=INFINITE State=UP\n"
    )
}

fn text(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Waits until something is so.
fn until(what: &str, mut is: impl FnMut() -> bool) {
    let end = Instant::now() + LONGEST;
    while !is() {
        assert!(Instant::now() < end, "waited in vain until {what}");
        sleep(Duration::from_millis(40));
    }
}

#[test]
#[expect(clippy::print_stderr, reason = "who runs it must be told that it tried nothing")]
fn the_readmes_array_job_gives_the_bytes_of_one_run_though_a_share_is_killed() {
    if let Some(missing) = missing() {
        assert!(std::env::var("SETBAND_BATCH").is_err(), "no batch system: {missing}");
        eprintln!("not tried: there is no batch system: {missing}");
        return;
    }
    let place = Place::new(BIG);
    fs::rename(place.path("hall.yaml"), place.path("big.yaml")).expect("renamed");
    fs::write(place.path("job.sh"), script()).expect("written");
    let batch = Batch::start(&place);

    let job = batch.submit(place.folder.path(), &[]);
    let task = format!("{job}_{KILLED}");
    let held = batch.command("scontrol", &["hold", &task]);
    assert!(held.status.success(), "{}", said(&held));
    until("all shares but one have ended", || batch.waiting() == 1);
    batch.command("scontrol", &["release", &task]);
    // It has finished some cases, and then it is killed.
    let journal = place.path(&format!("shares/{KILLED}/sweep.journal"));
    let lines = || fs::read_to_string(&journal).map_or(0, |it| it.lines().count());
    until("the share has begun", || lines() > 3);
    batch.command("scancel", &["--signal=KILL", "--full", &task]);
    until("the share is gone", || batch.waiting() == 0);
    let (shares, joined) = ("shares/*", ["--out", "joined"]);
    let merge = |out: &[&str]| {
        let line = format!("setband merge {shares} {}", out.join(" "));
        let binary = Path::new(env!("CARGO_BIN_EXE_setband")).parent().expect("its folder");
        let path = format!("{}:/usr/bin:/bin", binary.display());
        let mut shell = Command::new("sh");
        shell.args(["-c", &line]).env("PATH", path).current_dir(place.folder.path());
        shell.output().expect("a shell")
    };
    let refused = merge(&joined);
    let lacks = format!("share {KILLED} of 16 in shares/{KILLED} lacks");
    assert!(said(&refused).contains(&lacks), "{}", said(&refused));

    batch.submit(place.folder.path(), &[&format!("--array={KILLED}")]);
    until("the share has ended", || batch.waiting() == 0);
    let whole = merge(&joined);
    assert_eq!(whole.status.code(), Some(0), "{}", said(&whole));
    let in_one_go = [
        "sweep",
        "big.yaml",
        "--grid",
        "zones.*.band=0..4:0.5",
        "--draws",
        "1000",
        "--quiet",
        "--out",
        "one",
    ];
    let one = place.run(&in_one_go);
    assert_eq!(one.status.code(), Some(0), "{}", said(&one));
    place.same_files("one", "joined");
}
