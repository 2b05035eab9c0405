# PowerShell completion of spatsheet, as printed by `spatsheet completion powershell`.
Register-ArgumentCompleter -Native -CommandName spatsheet, spatsheet.exe -ScriptBlock {
    param($wordToComplete, $commandAst, $cursorPosition)
    $words = @($commandAst.CommandElements | Select-Object -Skip 1 |
        Where-Object { $_.Extent.EndOffset -lt $cursorPosition } |
        ForEach-Object { "$_".Trim('"', "'") })
    $unfinished = "$wordToComplete".Trim('"', "'")
    & $commandAst.GetCommandName() --complete "=$unfinished" @words 2>$null | ForEach-Object {
        $word, $says = $_ -split "`t", 2
        if (-not $says) { $says = $word }
        $text = $word
        if ($word -match '[\s''"`$;,(){}&|]') { $text = "'" + $word.Replace("'", "''") + "'" }
        [System.Management.Automation.CompletionResult]::new($text, $word, 'ParameterValue', $says)
    }
}
