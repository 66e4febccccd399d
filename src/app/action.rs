//! What can be asked of the window without any other detail.

/// Something a person can ask of the window that needs no other detail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// An empty show.
    New,
    /// Choose a show file and open it.
    Open,
    /// Open the show that the program carries.
    OpenDemo,
    /// Write the show to its file.
    Save,
    /// Choose a file and write the show to it.
    SaveAs,
    /// Choose a fixture description and make a profile of it.
    Import,
    /// Close the window.
    Quit,
    /// Take back the last edit.
    Undo,
    /// Make the last edit that was taken back again.
    Redo,
    /// Select every fixture.
    SelectAll,
    /// Select nothing.
    SelectNone,
    /// Select the fixture after the selected one.
    NextFixture,
    /// Select the fixture before the selected one.
    PreviousFixture,
    /// Show or hide what is set up for the selected fixture.
    Setup,
    /// Look at what a change of model or mode would do, or close that.
    ChangeModel,
    /// Fill in which fixtures to add.
    AddFixtures,
    /// Copy the selected fixtures.
    DuplicateFixtures,
    /// Take the selected fixtures out of the rig.
    RemoveFixtures,
    /// Keep what the slots stand at as a new look.
    NewLook,
    /// Put what the slots stand at into the current look.
    UpdateLook,
    /// Give the current look another name.
    RenameLook,
    /// Delete the current look.
    DeleteLook,
    /// Recall the look after the current one.
    NextLook,
    /// Recall the look before the current one.
    PreviousLook,
    /// Sweep the channel touched last, or hold the sweep that is on.
    Sweep,
    /// Step the sweep to the next boundary of a range.
    NextBoundary,
    /// Step the sweep to the last boundary of a range.
    LastBoundary,
    /// Another pace for sweeps.
    SweepPace,
    /// End the sweep and keep its value.
    KeepSwept,
    /// End the sweep and restore the value from before.
    EndSweep,
    /// Fit the room into the stage views.
    Fit,
    /// Swap front and side view.
    SwapSide,
    /// Look closer.
    ZoomIn,
    /// Look from farther away.
    ZoomOut,
    /// Expose more.
    Brighter,
    /// Expose less.
    Darker,
    /// Expose automatically.
    AutoExposure,
    /// More haze.
    MoreHaze,
    /// Less haze.
    LessHaze,
    /// Set time going, or stop it.
    Play,
    /// Go on by one frame.
    StepOn,
    /// Go back by one frame.
    StepBack,
    /// Let every head be where it is asked to be.
    Arrive,
    /// Keep every frame from the heads, or let them through again.
    CutSignal,
    /// Let time pass faster.
    Faster,
    /// Let time pass slower.
    Slower,
    /// Choose a file of timed frames.
    OpenTimed,
    /// Close the timed frames.
    CloseTimed,
    /// Begin again after the last of the timed frames, or do not.
    LoopTimed,
    /// Show or hide the plot.
    TogglePlot,
    /// Write what was recorded to a file.
    ExportPlot,
    /// Show or hide the cues.
    ToggleCues,
    /// Send the next cue of the list on show on its way.
    CueGo,
    /// Make a fixture description of a profile.
    Describe,
    /// Show or hide the dry run of the list on show.
    DryRun,
    /// Write the list on show as a page with a picture of the stage a cue.
    CueSheet,
    /// Compare the list on show with another.
    CompareCues,
    /// Show or hide the grid of cues and channels.
    CueGrid,
    /// Send a cue on its way by its number.
    JumpToCue,
    /// Hold the levels of the list on show where its cue will have them, while the key is down.
    CueFlash,
    /// Run the list on show faster.
    CueFaster,
    /// Run the list on show slower.
    CueSlower,
    /// More of all levels of all lists.
    GrandUp,
    /// Less of all levels of all lists.
    GrandDown,
    /// Write the list on show as timed frames.
    ExportList,
    /// Send the cue before on its way again.
    CueBack,
    /// Stop the time of the list, or let it go on.
    CuePause,
    /// Let go of the list.
    CueRelease,
    /// Let go of every list: the show's own slots are in force again.
    EndCues,
    /// Keep what the lists put on the stage in the show's own slots.
    CuesToSlots,
    /// Keep what the stage shows as a cue behind the current one.
    RecordCue,
    /// Put what the stage shows into the current cue.
    UpdateCue,
    /// Delete the current cue.
    DeleteCue,
    /// Give the keyboard to the slots.
    GoToSlots,
    /// Show or hide looks and fixtures.
    ToggleLists,
    /// Show or hide the slots.
    ToggleSlots,
    /// Show or hide the reading.
    ToggleReading,
    /// Show or hide the channel chart of the selected fixture.
    Chart,
    /// Swap the light and the dark window.
    SwapTheme,
    /// Show or hide why the light of the fixture that is read is as it is.
    Why,
    /// Show or hide the conditions that are watched for.
    Watch,
    /// Show or hide what differs between two standings of the rig.
    Difference,
    /// Show or hide the slots in which one head of a model is alone.
    Stray,
    /// Show or hide what may be wrong with a head that does not do what its frame says.
    Misfit,
    /// Show or hide the drills.
    Drills,
    /// Find out what a head does for which there is no chart.
    Probe,
    /// Make a draft profile of the channel table of a manual.
    Table,
    /// Put the draft made of a table on the bench.
    BenchTable,
    /// Say where profiles are found and which files cannot be used.
    Profiles,
    /// Go to the bench, or back to the stage.
    Bench,
    /// Split the selected range at the cursor.
    SplitRange,
    /// Join the selected range and the next one.
    MergeRanges,
    /// Select the range after the selected one.
    NextRange,
    /// Select the range before the selected one.
    PreviousRange,
    /// Show or hide the guide.
    Guide,
    /// List all keys.
    Keys,
    /// Say what this program is.
    About,
}
