//! The project's commands: `cargo xtask serve | build | test | bench`.
//!
//! Each command first sets up what it needs and does not find, then does its work, and says what it
//! does and how long each step took.
mod bench;
mod budgets;
mod head;
mod parts;
mod screens;
mod serve;
mod site;
mod size;
mod test;
mod tools;
mod wasm;

use std::process::ExitCode;

/// What every step returns: nothing more to say, or one plain sentence about what went wrong.
type Outcome<T = ()> = Result<T, String>;

/// One command, as the help lists it.
struct Command {
    name: &'static str,
    about: &'static str,
    /// Options as `(name, what follows it, what it does)`; nothing follows a switch.
    options: &'static [(&'static str, &'static str, &'static str)],
    run: fn(&Arguments) -> Outcome,
}

const COMMANDS: [Command; 5] = [
    Command {
        name: "serve",
        about: "build the page and serve it on this machine",
        options: &[
            (
                "--port",
                "NUMBER",
                "port to listen on (8080; 0 takes any free one)",
            ),
            (
                "--base",
                "/PATH/",
                "serve below this path, as a project page would be",
            ),
            ("--dist", "FOLDER", "serve this folder (dist)"),
            ("--no-build", "", "serve what is there already"),
            ("--quick", "", "build without size optimisation"),
            ("--log", "", "print a line per request"),
            ("--attached", "", "end when standard input does"),
        ],
        run: serve::run,
    },
    Command {
        name: "build",
        about: "build the page into dist/, for any static host or sub-path",
        options: &[(
            "--quick",
            "",
            "build without size optimisation, to look at a change",
        )],
        run: site::run,
    },
    Command {
        name: "test",
        about: "run every test, from formatting to the page in a real browser",
        options: &[(
            "--only",
            "STEP[,STEP]",
            "run these steps; `--only list` names them",
        )],
        run: test::run,
    },
    Command {
        name: "bench",
        about: "measure the budgets beside a bare Leptos page",
        options: &[("--only", "PART[,PART]", "size, parts, page, native")],
        run: bench::run,
    },
    Command {
        name: "screens",
        about: "take pictures of every page into screens/, with what can be told of its look without looking",
        options: &[
            ("--no-build", "", "take what is in dist/ already"),
            ("--tour", "", "only those of the README, into docs/tour/"),
        ],
        run: screens::run,
    },
];

/// The options of one call, checked against what the command takes.
struct Arguments(Vec<(String, String)>);

impl Arguments {
    fn parse(command: &Command, mut words: impl Iterator<Item = String>) -> Outcome<Self> {
        let mut read = Vec::new();
        while let Some(word) = words.next() {
            let Some((_, follows, _)) = command.options.iter().find(|o| o.0 == word) else {
                return Err(format!(
                    "`{}` takes no `{word}`.\n\n{}",
                    command.name,
                    help()
                ));
            };
            let value = match follows.is_empty() {
                true => String::new(),
                false => words
                    .next()
                    .ok_or(format!("`{word}` is followed by {follows}."))?,
            };
            read.push((word, value));
        }
        Ok(Self(read))
    }

    fn value(&self, name: &str) -> Option<&str> {
        self.0
            .iter()
            .find(|(word, _)| word == name)
            .map(|(_, value)| value.as_str())
    }

    fn has(&self, name: &str) -> bool {
        self.value(name).is_some()
    }
}

fn help() -> String {
    let mut text = String::from("cargo xtask COMMAND\n");
    for command in &COMMANDS {
        text += &format!("\n  {:<8}{}\n", command.name, command.about);
        for (name, follows, about) in command.options {
            text += &format!("      {:<22}{about}\n", format!("{name} {follows}"));
        }
    }
    text
}

fn main() -> ExitCode {
    let mut words = std::env::args().skip(1);
    let name = words.next().unwrap_or_default();
    let Some(command) = COMMANDS.iter().find(|command| command.name == name) else {
        print!("{}", help());
        return ExitCode::from(if matches!(name.as_str(), "" | "help" | "--help") {
            0
        } else {
            2
        });
    };
    match Arguments::parse(command, words).and_then(|arguments| (command.run)(&arguments)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("\ncargo xtask {name}: {why}");
            ExitCode::FAILURE
        }
    }
}
