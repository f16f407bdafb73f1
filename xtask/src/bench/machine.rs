//! On what the figures were measured: a figure without its machine says nothing.

use crate::shell;
use std::process::Command;

/// One line: processor, cores, date, compiler.
pub(super) fn describe() -> String {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let compiler = first_line("rustc", &["--version"]).unwrap_or_else(|| "unknown compiler".to_owned());
    let date = first_line("date", &["-u", "+%Y-%m-%d"]).unwrap_or_else(|| "date unknown".to_owned());
    let node =
        first_line("node", &["--version"]).map(|version| format!(", node {version}")).unwrap_or_default();
    format!("{}, {cores} cores, {date}, {compiler}{node}", processor())
}

fn processor() -> String {
    let info = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let model = info.lines().find_map(|line| line.strip_prefix("model name")?.split(':').nth(1));
    match model {
        Some(model) => model.trim().to_owned(),
        None => first_line("sysctl", &["-n", "machdep.cpu.brand_string"])
            .unwrap_or_else(|| format!("{} processor", std::env::consts::ARCH)),
    }
}

fn first_line(program: &str, args: &[&str]) -> Option<String> {
    let text = shell::output(Command::new(program).args(args)).ok()?;
    text.lines().next().map(|line| line.trim().to_owned()).filter(|line| !line.is_empty())
}
