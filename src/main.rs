fn main() -> std::process::ExitCode {
    aumbry::commands::main()
}
