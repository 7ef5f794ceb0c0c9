# Print an optspec for argparse to handle cmd's options that are independent of any subcommand.
function __fish_clampmark_global_optspecs
    string join \n ledger= json colour= h/help V/version
end

function __fish_clampmark_needs_command
    # Figure out if the current invocation already has a command.
    set -l cmd (commandline -opc)
    set -e cmd[1]
    argparse -s (__fish_clampmark_global_optspecs) -- $cmd 2>/dev/null
    or return
    if set -q argv[1]
        # Also print the command, so this can be used to figure out what it is.
        echo $argv[1]
        return 1
    end
    return 0
end

function __fish_clampmark_using_subcommand
    set -l cmd (__fish_clampmark_needs_command)
    test -z "$cmd"
    and return 1
    contains -- $cmd[1] $argv
end

complete -c clampmark -n "__fish_clampmark_needs_command" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_needs_command" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_needs_command" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_needs_command" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_needs_command" -s V -l version -d 'Print version'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "check" -d 'What is unsafe, impossible or missing in the setups, each with its place and what to do'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "grips" -d 'Where the hands are: measured and derived, how sure, and what is missing for what'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "diff" -d 'What physically changed between two revisions, two files, or a setup and the bike as found'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "found" -d 'An as-found sheet to fill in, or asked for on the terminal'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "restore" -d 'The steps back to the recorded setup, from as found or from the box'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "record" -d 'Write an as-found sheet\'s readings into the setup file'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "torque" -d 'What each joint may be tightened to, and how to set the wrench for it'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "turn" -d 'Turn the bars: how near each control comes to the top tube, where it touches, and whether a hose goes tight'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "completions" -d 'A shell\'s completions for this program, to be kept where the shell looks for them'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "help" -d 'Print this message or the help of the given subcommand(s)'
complete -c clampmark -n "__fish_clampmark_using_subcommand check" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand check" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand check" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand check" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -l at -d 'As it was at a revision: a hash, a tag, a branch, HEAD~3' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -l why -d 'Which readings the ± of one derived value comes from, largest share first: grip-stack, grip.left.z, trail…' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -l found -d 'An as-found sheet: compare the recorded setup with the bike as it was found' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -l all -d 'List everything, also what differs within reading and every derived value'
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l after -d 'What happened to the bike; only what is then worth looking at' -r -f -a "flight\t'It was boxed for travel'
loan\t'Somebody else rode it'"
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l to -d 'Where the sheet goes: a file, or - for the screen. Beside the setup if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l date -d 'The day of the readings, year-month-day; today if not given' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l ask -d 'Ask on the terminal, one measure at a time; every answer is kept at once'
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -l at -d 'Back to how it was at this revision: a tag, a branch, a hash, HEAD~3' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -l found -d 'The as-found sheet: only what moved is touched. Without it the steps are a full rebuild' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l found -d 'The as-found sheet' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -s m -l message -d 'The commit\'s message' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l all -d 'Write also readings that differ only within reading'
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l mark -d 'The marks were drawn anew at the new positions: write that, too'
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l commit -d 'Commit the setup file, and only that'
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l at -d 'As it was at this revision: a tag, a branch, a hash, HEAD~3' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l wrench -d 'The wrench: what it may deviate in per cent (6%), or the name of one of the file\'s wrenches. The file\'s only wrench if not given' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l extension -d 'An extension on the wrench\'s drive: the wrench\'s length from the middle of the handle to the drive, the extension\'s length from the drive to the bolt, both in mm, and the angle between them in degrees (0 in line)' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -l at -d 'At this revision: a hash, a tag, a branch, HEAD~3; the working file if not given' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -l to -d 'To one steering angle: the clearances and the slack there, and the least on the way. Degrees, positive to the left, negative to the right' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand completions" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand completions" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand completions" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand completions" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record torque turn completions help" -f -a "check" -d 'What is unsafe, impossible or missing in the setups, each with its place and what to do'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record torque turn completions help" -f -a "grips" -d 'Where the hands are: measured and derived, how sure, and what is missing for what'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record torque turn completions help" -f -a "diff" -d 'What physically changed between two revisions, two files, or a setup and the bike as found'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record torque turn completions help" -f -a "found" -d 'An as-found sheet to fill in, or asked for on the terminal'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record torque turn completions help" -f -a "restore" -d 'The steps back to the recorded setup, from as found or from the box'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record torque turn completions help" -f -a "record" -d 'Write an as-found sheet\'s readings into the setup file'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record torque turn completions help" -f -a "torque" -d 'What each joint may be tightened to, and how to set the wrench for it'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record torque turn completions help" -f -a "turn" -d 'Turn the bars: how near each control comes to the top tube, where it touches, and whether a hose goes tight'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record torque turn completions help" -f -a "completions" -d 'A shell\'s completions for this program, to be kept where the shell looks for them'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record torque turn completions help" -f -a "help" -d 'Print this message or the help of the given subcommand(s)'
